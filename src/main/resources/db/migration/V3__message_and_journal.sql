-- What is told, and what is remembered.

CREATE SEQUENCE outgoing_message_seq START WITH 1 INCREMENT BY 1;
CREATE TABLE outgoing_message (
    id BIGINT PRIMARY KEY,
    message_key VARCHAR(64) NOT NULL,                  -- stable over repeats: a receiver drops a second copy by it
    purpose VARCHAR(24) NOT NULL,                      -- ALARM: not needed once taken; NOTICE: sent whatever happens
    call_out_id BIGINT,
    alarm_id BIGINT,
    person_id BIGINT NOT NULL,
    channel VARCHAR(12) NOT NULL,                      -- MAIL; FILE once it was written to a folder instead
    address VARCHAR(254) NOT NULL,
    subject VARCHAR(400) NOT NULL,
    body VARCHAR(20000) NOT NULL,
    created_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    state VARCHAR(12) NOT NULL,                        -- WAITING, SENT, UNDELIVERED, NOT_NEEDED
    attempts INTEGER NOT NULL,
    next_attempt_at TIMESTAMP(6) WITH TIME ZONE,       -- none once it is over; the end of the lease while leased
    leased_until TIMESTAMP(6) WITH TIME ZONE,
    ended_at TIMESTAMP(6) WITH TIME ZONE,
    last_error VARCHAR(400),
    CONSTRAINT outgoing_message_key_is_unique UNIQUE (message_key),
    CONSTRAINT outgoing_message_state_is_known CHECK (state = ANY (ARRAY['WAITING', 'SENT', 'UNDELIVERED', 'NOT_NEEDED'])),
    CONSTRAINT outgoing_message_is_for_a_person FOREIGN KEY (person_id) REFERENCES person (id)
);
CREATE INDEX outgoing_message_by_next_attempt ON outgoing_message (next_attempt_at);
CREATE INDEX outgoing_message_by_alarm ON outgoing_message (alarm_id);
CREATE INDEX outgoing_message_by_call_out ON outgoing_message (call_out_id);
CREATE INDEX outgoing_message_by_created_at ON outgoing_message (created_at);

-- One row: since when no mail could be handed over. Does not change while all is well.
CREATE TABLE mail_health (
    id INTEGER PRIMARY KEY,
    failing_since TIMESTAMP(6) WITH TIME ZONE,
    reason VARCHAR(400),
    CONSTRAINT mail_health_has_one_row CHECK (id = 1)
);
INSERT INTO mail_health (id) VALUES (1);

CREATE SEQUENCE journal_entry_seq START WITH 1 INCREMENT BY 1;
CREATE TABLE journal_entry (
    id BIGINT PRIMARY KEY,
    at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    kind VARCHAR(48) NOT NULL,
    site_id BIGINT,
    cabinet_id BIGINT,
    alarm_id BIGINT,
    body VARCHAR(8000) NOT NULL,                       -- canonical JSON; people only by their reference
    seal_number BIGINT,                                -- place in the chain; none until sealed
    seal_hash VARCHAR(64),
    CONSTRAINT journal_seal_number_is_unique UNIQUE (seal_number)
);
CREATE INDEX journal_entry_by_site ON journal_entry (site_id, id);
CREATE INDEX journal_entry_by_alarm ON journal_entry (alarm_id, id);

-- The sealer's lease and the newest head of the chain, in one row.
CREATE TABLE journal_head (
    id INTEGER PRIMARY KEY,
    seal_number BIGINT NOT NULL,
    seal_hash VARCHAR(64) NOT NULL,
    sealed_at TIMESTAMP(6) WITH TIME ZONE,
    leased_by VARCHAR(64),
    leased_until TIMESTAMP(6) WITH TIME ZONE,
    CONSTRAINT journal_head_has_one_row CHECK (id = 1)
);
INSERT INTO journal_head (id, seal_number, seal_hash) VALUES (1, 0, '0000000000000000000000000000000000000000000000000000000000000000');
