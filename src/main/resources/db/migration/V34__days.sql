-- A day of what was measured, made from its quarters once it is over: what a season is drawn from, and what stays when the quarters are removed.
CREATE TABLE sensor_day (
    sensor_id BIGINT NOT NULL,
    on_day INTEGER NOT NULL,                           -- days since 1970-01-01 in UTC
    quarters INTEGER NOT NULL,                         -- of 96 that were heard of
    quarters_lost INTEGER NOT NULL,
    inside_min_c DOUBLE PRECISION,
    inside_mean_c DOUBLE PRECISION,
    inside_max_c DOUBLE PRECISION,
    outside_min_c DOUBLE PRECISION,
    outside_mean_c DOUBLE PRECISION,
    outside_max_c DOUBLE PRECISION,
    heater_known INTEGER NOT NULL,                     -- quarters of which the heater was reported
    heater_on INTEGER NOT NULL,
    door_known INTEGER NOT NULL,
    door_open INTEGER NOT NULL,
    CONSTRAINT sensor_day_is_unique PRIMARY KEY (sensor_id, on_day)
);
CREATE INDEX sensor_day_by_day ON sensor_day (on_day, sensor_id);
