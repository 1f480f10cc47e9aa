-- Programs outside that hear of alarms, and what they were told.

CREATE SEQUENCE webhook_endpoint_seq START WITH 1 INCREMENT BY 1;
CREATE TABLE webhook_endpoint (
    id BIGINT PRIMARY KEY,
    site_id BIGINT,                                    -- none: every site, and the installation itself
    name VARCHAR(120) NOT NULL,
    url VARCHAR(1000) NOT NULL,
    is_on BOOLEAN NOT NULL,
    secret VARCHAR(100) NOT NULL,                      -- what its secret is made of, with a key that is not in the database
    secret_before VARCHAR(100),                        -- signs as well until then, so that a receiver can change over
    secret_before_until TIMESTAMP(6) WITH TIME ZONE,
    changed_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    changed_by BIGINT,
    version INTEGER NOT NULL,
    CONSTRAINT webhook_endpoint_is_of_a_site FOREIGN KEY (site_id) REFERENCES site (id)
);

-- One event for one endpoint. No foreign key: removing an endpoint must never make a commit fail that raises an alarm.
CREATE SEQUENCE webhook_delivery_seq START WITH 1 INCREMENT BY 1;
CREATE TABLE webhook_delivery (
    id BIGINT PRIMARY KEY,                             -- the order of events of one alarm
    message_key VARCHAR(64) NOT NULL,                  -- stable over repeats: a receiver drops a second copy by it
    endpoint_id BIGINT NOT NULL,
    event VARCHAR(40) NOT NULL,
    alarm_id BIGINT,
    body TEXT NOT NULL,                                -- JSON, as signed
    created_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    wanted_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,    -- given up that long after; later than created where somebody asked for it again
    state VARCHAR(12) NOT NULL,
    attempts INTEGER NOT NULL,
    next_attempt_at TIMESTAMP(6) WITH TIME ZONE,       -- none once it is over; the end of the lease while leased
    leased_until TIMESTAMP(6) WITH TIME ZONE,
    tried_at TIMESTAMP(6) WITH TIME ZONE,
    status INTEGER,                                    -- of the last answer; none where there was none
    took_ms INTEGER,
    last_error VARCHAR(400),
    ended_at TIMESTAMP(6) WITH TIME ZONE,
    CONSTRAINT webhook_delivery_key_is_unique UNIQUE (message_key),
    CONSTRAINT webhook_delivery_state_is_known CHECK (state = ANY (ARRAY['WAITING', 'DELIVERED', 'UNDELIVERED']))
);
CREATE INDEX webhook_delivery_by_next_attempt ON webhook_delivery (next_attempt_at);
CREATE INDEX webhook_delivery_by_endpoint ON webhook_delivery (endpoint_id, id);
CREATE INDEX webhook_delivery_by_created_at ON webhook_delivery (created_at);
