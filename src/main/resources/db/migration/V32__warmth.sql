-- How a cabinet keeps warm, as far as somebody has said; a cabinet without a row has nothing said of it.
CREATE TABLE warmth (
    cabinet_id BIGINT PRIMARY KEY,
    set_point_c DOUBLE PRECISION,          -- below it the heater is on
    heater_w DOUBLE PRECISION,
    watt_per_kelvin DOUBLE PRECISION,      -- of all walls together, from the drawings
    joule_per_kelvin DOUBLE PRECISION,     -- walls and content together
    coldest_c DOUBLE PRECISION,            -- what the place reckons with in winter
    needs_supply BOOLEAN NOT NULL,         -- what it holds does not work without supply, however warm it is
    slower_when_warm BOOLEAN NOT NULL,     -- its owner has chosen that people are told more slowly while there is time
    changed_at TIMESTAMP(6) WITH TIME ZONE,
    changed_by BIGINT,
    version INTEGER NOT NULL,
    CONSTRAINT warmth_belongs_to_a_cabinet FOREIGN KEY (cabinet_id) REFERENCES cabinet (id),
    CONSTRAINT warmth_of_walls_and_masses_go_together CHECK ((watt_per_kelvin IS NULL) = (joule_per_kelvin IS NULL)),
    CONSTRAINT what_needs_supply_is_never_told_of_more_slowly CHECK (NOT (needs_supply AND slower_when_warm))
);

-- What was learnt from the times without supply; the newest answer, also where it is that nothing can be said.
CREATE TABLE learned_cooling (
    cabinet_id BIGINT PRIMARY KEY,
    learned_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    cool_downs INTEGER NOT NULL,           -- on record, used or not
    used INTEGER NOT NULL,
    early_s DOUBLE PRECISION,              -- none: refused
    likely_s DOUBLE PRECISION,
    late_s DOUBLE PRECISION,
    doubt VARCHAR(24),                     -- why it was refused
    left_out VARCHAR(400) NOT NULL,        -- how many were not used, by reason
    CONSTRAINT learned_cooling_belongs_to_a_cabinet FOREIGN KEY (cabinet_id) REFERENCES cabinet (id),
    CONSTRAINT cooling_is_learned_or_refused CHECK ((likely_s IS NULL) = (doubt IS NOT NULL)),
    CONSTRAINT learned_range_is_in_order CHECK (likely_s IS NULL OR (early_s <= likely_s AND likely_s <= late_s))
);
