-- What has been kept long enough is removed, the oldest first.
CREATE INDEX sensor_quarter_by_quarter ON sensor_quarter (quarter, sensor_id);

-- Comes again by itself every night, on whichever instance claims it.
INSERT INTO deadline (id, due_at, kind, subject_id, subject_version, attempts)
    SELECT nextval('deadline_seq'), CURRENT_TIMESTAMP, 'RETENTION', 0, 0, 0;
