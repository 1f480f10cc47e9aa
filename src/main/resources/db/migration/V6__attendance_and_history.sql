-- What was measured, a quarter of an hour at a time, and what was done about an alarm.

-- One row a sensor and quarter of an hour that is over: the newest of what was heard in it. Storage grows with time and sensors, never
-- with how often they report. No foreign key to the sensor: its status row has one, and every row here comes from there.
CREATE TABLE sensor_quarter (
    sensor_id BIGINT NOT NULL,
    quarter BIGINT NOT NULL,                           -- quarters of an hour since 1970-01-01T00:00Z
    observed_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,  -- of the newest report in it
    reading VARCHAR(8) NOT NULL,
    inside_c DOUBLE PRECISION,
    outside_c DOUBLE PRECISION,
    battery_percent DOUBLE PRECISION,
    heater_on BOOLEAN,
    door_open BOOLEAN,
    CONSTRAINT sensor_quarter_is_unique PRIMARY KEY (sensor_id, quarter)
);

-- Every saving of an attendance record is a row of its own, so that nothing said before is lost; the highest number is what holds.
CREATE SEQUENCE attendance_entry_seq START WITH 1 INCREMENT BY 1;
CREATE TABLE attendance_entry (
    id BIGINT PRIMARY KEY,
    alarm_id BIGINT NOT NULL,
    number INTEGER NOT NULL,                           -- 1 is the first; the next one takes the next number, so two cannot overwrite each other
    written_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    written_by BIGINT NOT NULL,
    complete BOOLEAN NOT NULL,                         -- the alarm counts as done with
    arrived_at TIMESTAMP(6) WITH TIME ZONE,
    cause VARCHAR(40),                                 -- a word of the list of causes
    done VARCHAR(2000),
    retested_by VARCHAR(120),
    retester_competent BOOLEAN NOT NULL,
    fuse_fitted_a INTEGER,
    content VARCHAR(12),
    content_moved_to VARCHAR(200),
    people_told BOOLEAN NOT NULL,
    fit VARCHAR(8),
    none_because VARCHAR(400),                         -- why there is no record; ends the matter instead of all the above
    CONSTRAINT attendance_is_about_an_alarm FOREIGN KEY (alarm_id) REFERENCES alarm (id),
    CONSTRAINT attendance_is_written_by_a_person FOREIGN KEY (written_by) REFERENCES person (id),
    CONSTRAINT attendance_entry_number_is_unique UNIQUE (alarm_id, number),
    CONSTRAINT attendance_content_is_known CHECK (content IS NULL OR content = ANY (ARRAY['UNTOUCHED', 'INSPECTED', 'MOVED', 'USED'])),
    CONSTRAINT attendance_fit_is_known CHECK (fit IS NULL OR fit = ANY (ARRAY['YES', 'NO', 'NOT_YET']))
);

-- When somebody said what was done, or why nothing was. The life cycle of the alarm does not depend on it.
ALTER TABLE alarm ADD COLUMN attended_at TIMESTAMP(6) WITH TIME ZONE;
-- Those that called people out, are over, and of which nobody has said what was done. Alarms from before this table are let be.
UPDATE alarm SET attended_at = closed_at WHERE closed_at IS NOT NULL;
ALTER TABLE alarm ADD COLUMN unattended BIGINT GENERATED ALWAYS AS (
    CASE WHEN closed_at IS NOT NULL AND call_out_id IS NOT NULL AND attended_at IS NULL THEN id END) ${stored};
CREATE INDEX alarm_by_unattended ON alarm (unattended);

-- The pages of the journal and of a cabinet walk it backwards.
CREATE INDEX journal_entry_by_cabinet ON journal_entry (cabinet_id, id);
CREATE INDEX journal_entry_by_kind ON journal_entry (kind, id);
