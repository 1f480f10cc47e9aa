-- The temperature of the content itself, where a sensor measures it beside that of the air: stored as the other two are. None is indexed.
ALTER TABLE sensor_status ADD COLUMN content_c DOUBLE PRECISION;
ALTER TABLE sensor_status ADD COLUMN content_at TIMESTAMP(6) WITH TIME ZONE;
ALTER TABLE sensor_status ADD COLUMN content_least_c DOUBLE PRECISION;
ALTER TABLE sensor_status ADD COLUMN content_most_c DOUBLE PRECISION;
ALTER TABLE sensor_quarter ADD COLUMN content_c DOUBLE PRECISION;
ALTER TABLE sensor_quarter ADD COLUMN content_least_c DOUBLE PRECISION;
ALTER TABLE sensor_quarter ADD COLUMN content_most_c DOUBLE PRECISION;
ALTER TABLE sensor_day ADD COLUMN content_min_c DOUBLE PRECISION;
ALTER TABLE sensor_day ADD COLUMN content_mean_c DOUBLE PRECISION;
ALTER TABLE sensor_day ADD COLUMN content_max_c DOUBLE PRECISION;

-- What was learnt of air and content as two bodies; a cabinet whose content was never measured without supply has no row.
CREATE TABLE learned_pair (
    cabinet_id BIGINT PRIMARY KEY,
    learned_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    cool_downs INTEGER NOT NULL,           -- on record, used or not
    used INTEGER NOT NULL,
    outer_early_s DOUBLE PRECISION,        -- of the air by the outside; none: refused
    outer_likely_s DOUBLE PRECISION,
    outer_late_s DOUBLE PRECISION,
    air_by_content_s DOUBLE PRECISION,
    content_by_air_s DOUBLE PRECISION,
    slowest_early_s DOUBLE PRECISION,      -- in which both cool once the beginning has faded
    slowest_likely_s DOUBLE PRECISION,
    slowest_late_s DOUBLE PRECISION,
    doubt VARCHAR(24),                     -- why it was refused
    left_out VARCHAR(400) NOT NULL,        -- how many were not used, by reason
    CONSTRAINT learned_pair_belongs_to_a_cabinet FOREIGN KEY (cabinet_id) REFERENCES cabinet (id),
    CONSTRAINT pair_is_learned_or_refused CHECK ((outer_likely_s IS NULL) = (doubt IS NOT NULL)),
    CONSTRAINT pair_has_all_its_times CHECK (outer_likely_s IS NULL OR (air_by_content_s > 0 AND content_by_air_s > 0 AND slowest_likely_s > 0)),
    CONSTRAINT pair_range_is_in_order CHECK (outer_likely_s IS NULL OR (outer_early_s <= outer_likely_s AND outer_likely_s <= outer_late_s))
);
