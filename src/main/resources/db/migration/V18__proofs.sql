-- What a person showed of each of their channels, and what is asked of them.

-- Whether it rings through the telephone's night setting has three answers and a day; until now nobody could have given one.
ALTER TABLE person_channel DROP COLUMN rings_at_night;
ALTER TABLE person_channel ADD COLUMN night_answer VARCHAR(16);                            -- RANG, SILENT, SEEN_LATER; none: not answered
ALTER TABLE person_channel ADD COLUMN night_answered_at TIMESTAMP(6) WITH TIME ZONE;
ALTER TABLE person_channel ADD COLUMN reminded_at TIMESTAMP(6) WITH TIME ZONE;             -- that its proof is old; none: not since it was proven
ALTER TABLE person_channel ADD CONSTRAINT person_channel_night_is_known
    CHECK (night_answer = ANY (ARRAY['RANG', 'SILENT', 'SEEN_LATER']));
ALTER TABLE person_channel ADD CONSTRAINT person_channel_night_has_a_day
    CHECK ((night_answer IS NULL) = (night_answered_at IS NULL));

-- One message that asks whether it arrived. Goes with its channel, and when that gets another address.
CREATE SEQUENCE channel_proof_seq START WITH 1 INCREMENT BY 1;
CREATE TABLE channel_proof (
    id BIGINT PRIMARY KEY,
    channel_id BIGINT NOT NULL,
    at_night BOOLEAN NOT NULL,                         -- asks whether it rang
    code VARCHAR(6) NOT NULL,                          -- for whoever cannot open a link, such as in a call
    wrong INTEGER NOT NULL,                            -- how often another code was entered
    asked_by BIGINT,                                   -- none: the program itself
    due_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    sent_at TIMESTAMP(6) WITH TIME ZONE,               -- put into the outbox; none: not due yet
    ends_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,      -- an answer counts until here
    answer VARCHAR(16),                                -- ARRIVED, RANG, SILENT, SEEN_LATER; none: not answered yet
    answered_at TIMESTAMP(6) WITH TIME ZONE,
    CONSTRAINT channel_proof_answer_is_known CHECK (answer = ANY (ARRAY['ARRIVED', 'RANG', 'SILENT', 'SEEN_LATER'])),
    CONSTRAINT channel_proof_is_of_a_channel FOREIGN KEY (channel_id) REFERENCES person_channel (id) ON DELETE CASCADE,
    CONSTRAINT channel_proof_is_asked_by_a_person FOREIGN KEY (asked_by) REFERENCES person (id)
);
CREATE INDEX channel_proof_by_channel ON channel_proof (channel_id);
