-- Sensors that were heard and are not registered, so that one can be paired by the code on its label. At most 200, for a week.
CREATE TABLE heard_sensor (
    device_id VARCHAR(64) PRIMARY KEY,
    base_name VARCHAR(120),                            -- none: it could only try to log in
    heard_at TIMESTAMP(6) WITH TIME ZONE NOT NULL
);
