-- What is known of each supply, what is wrong, who has it, and what comes due.

-- One row a sensor; the only rows that a steady report touches. No index on what such a report changes:
-- PostgreSQL then updates in place on the page (heap-only), for which the page keeps free room.
CREATE TABLE sensor_status (
    sensor_id BIGINT PRIMARY KEY,
    site_id BIGINT NOT NULL,
    cabinet_id BIGINT NOT NULL,
    reading VARCHAR(8) NOT NULL,                       -- HEALTHY, LOST, UNKNOWN: what the newest report said, or silence
    settled BOOLEAN NOT NULL,                          -- nothing pending: the next equal report in order is steady
    observed_at TIMESTAMP(6) WITH TIME ZONE,
    seq BIGINT,
    received_at TIMESTAMP(6) WITH TIME ZONE,
    silent_after TIMESTAMP(6) WITH TIME ZONE,          -- the last moment at which the reading may still be believed
    silence_due TIMESTAMP(6) WITH TIME ZONE,           -- indexed, moved lazily: when to look at silent_after again
    suspected_at TIMESTAMP(6) WITH TIME ZONE,
    confirm_at TIMESTAMP(6) WITH TIME ZONE,
    lost_since TIMESTAMP(6) WITH TIME ZONE,
    quiet_since TIMESTAMP(6) WITH TIME ZONE,           -- silent, or its link down, since
    silent BOOLEAN NOT NULL,                           -- the silence has been judged
    link_down BOOLEAN NOT NULL,
    clock_odd BOOLEAN NOT NULL,
    dips INTEGER NOT NULL,
    dips_since TIMESTAMP(6) WITH TIME ZONE,
    inside_c DOUBLE PRECISION,
    outside_c DOUBLE PRECISION,
    battery_percent DOUBLE PRECISION,
    heater_on BOOLEAN,
    door_open BOOLEAN,
    version BIGINT NOT NULL,                           -- raised by every change that is not steady
    CONSTRAINT sensor_status_reading_is_known CHECK (reading = ANY (ARRAY['HEALTHY', 'LOST', 'UNKNOWN'])),
    CONSTRAINT sensor_status_has_a_sensor FOREIGN KEY (sensor_id) REFERENCES sensor (id)
) ${room_on_page};
CREATE INDEX sensor_status_by_silence_due ON sensor_status (silence_due);
CREATE INDEX sensor_status_by_site ON sensor_status (site_id);
CREATE INDEX sensor_status_by_cabinet ON sensor_status (cabinet_id);

-- The lock of a site: whatever is decided about its alarms and call-outs is decided under this row.
-- Site 0 stands for the installation itself.
CREATE TABLE site_watch (
    site_id BIGINT PRIMARY KEY,
    site_loss_confirm_at TIMESTAMP(6) WITH TIME ZONE,
    version BIGINT NOT NULL
);
INSERT INTO site_watch (site_id, version) VALUES (0, 0);

CREATE SEQUENCE alarm_seq START WITH 1 INCREMENT BY 1;
CREATE SEQUENCE call_out_seq START WITH 1 INCREMENT BY 1;

CREATE TABLE call_out (
    id BIGINT PRIMARY KEY,
    site_id BIGINT NOT NULL,                           -- 0: the operator's
    opened_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    told INTEGER NOT NULL,                             -- turns given so far, over all rounds
    next_at TIMESTAMP(6) WITH TIME ZONE,               -- when the next is told; none when taken or over
    taken_by BIGINT,
    taken_at TIMESTAMP(6) WITH TIME ZONE,
    ended_at TIMESTAMP(6) WITH TIME ZONE,
    version BIGINT NOT NULL
);

CREATE TABLE alarm (
    id BIGINT PRIMARY KEY,
    kind VARCHAR(32) NOT NULL,
    site_id BIGINT NOT NULL,                           -- 0: the installation
    cabinet_id BIGINT,                                 -- none: the whole site, or the installation
    state VARCHAR(32) NOT NULL,
    live BOOLEAN NOT NULL,                             -- the condition is there
    since TIMESTAMP(6) WITH TIME ZONE NOT NULL,        -- when the condition began, as observed
    raised_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    acknowledged_by BIGINT,
    acknowledged_at TIMESTAMP(6) WITH TIME ZONE,
    returned_at TIMESTAMP(6) WITH TIME ZONE,
    held_until TIMESTAMP(6) WITH TIME ZONE,            -- shelved or suppressed: until when
    closed_at TIMESTAMP(6) WITH TIME ZONE,
    call_out_id BIGINT,
    open_key VARCHAR(80) GENERATED ALWAYS AS (CASE WHEN closed_at IS NULL
        THEN kind || ':' || CAST(site_id AS VARCHAR(20)) || ':' || CAST(COALESCE(cabinet_id, 0) AS VARCHAR(20)) END) ${stored},
    version BIGINT NOT NULL,
    CONSTRAINT one_open_alarm_per_cabinet_and_kind UNIQUE (open_key)
);
CREATE INDEX alarm_by_call_out ON alarm (call_out_id);
CREATE INDEX alarm_by_cabinet ON alarm (cabinet_id, raised_at);

-- A time during which alarms are held back on purpose. It always ends by itself.
CREATE SEQUENCE suppression_seq START WITH 1 INCREMENT BY 1;
CREATE TABLE suppression (
    id BIGINT PRIMARY KEY,
    kind VARCHAR(20) NOT NULL,
    site_id BIGINT NOT NULL,
    board_id BIGINT,
    cabinet_id BIGINT,
    starts_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    ends_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    reason VARCHAR(400) NOT NULL,
    person_id BIGINT,
    CONSTRAINT suppression_kind_is_known CHECK (kind = ANY (ARRAY['ANNOUNCED_WORK', 'COMMISSIONING', 'TEST_PRESS', 'OUT_OF_SERVICE'])),
    CONSTRAINT suppression_ends_after_it_starts CHECK (ends_at > starts_at)
);
CREATE INDEX suppression_by_site ON suppression (site_id, ends_at);

CREATE SEQUENCE deadline_seq START WITH 1 INCREMENT BY 50;
CREATE TABLE deadline (
    id BIGINT PRIMARY KEY,
    due_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    kind VARCHAR(24) NOT NULL,
    subject_id BIGINT NOT NULL,
    subject_version BIGINT NOT NULL,                   -- an older version than the subject's: the deadline is stale
    attempts INTEGER NOT NULL
);
CREATE INDEX deadline_by_due_at ON deadline (due_at);

-- Where this installation listens: one row a slot, leased by an instance; its client id and so its queue at the broker.
CREATE TABLE ingest_slot (
    slot INTEGER PRIMARY KEY,
    leased_by VARCHAR(64),
    leased_until TIMESTAMP(6) WITH TIME ZONE,
    listened_until TIMESTAMP(6) WITH TIME ZONE         -- last time at which the holder was subscribed and caught up
);

CREATE TABLE instance (
    id VARCHAR(64) PRIMARY KEY,
    started_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    seen_at TIMESTAMP(6) WITH TIME ZONE NOT NULL
);

-- One row: since when the whole installation has been listening without a gap.
CREATE TABLE listening (
    id INTEGER PRIMARY KEY,
    listening_since TIMESTAMP(6) WITH TIME ZONE,       -- backlog in; silence is judged from here plus a grace
    last_listened_at TIMESTAMP(6) WITH TIME ZONE,
    CONSTRAINT listening_has_one_row CHECK (id = 1)
);
INSERT INTO listening (id) VALUES (1);

-- What could not be read or was not allowed: counted by reason, with a few samples for the operator.
CREATE SEQUENCE refused_report_seq START WITH 1 INCREMENT BY 1;
CREATE TABLE refused_report (
    id BIGINT PRIMARY KEY,
    received_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    topic VARCHAR(200) NOT NULL,
    reason VARCHAR(32) NOT NULL,
    detail VARCHAR(400) NOT NULL,
    sample VARCHAR(2000) NOT NULL
);
CREATE INDEX refused_report_by_received_at ON refused_report (received_at);
