-- Proof tests of hand-overs: the supply is taken away at the board, and what was seen of it is measured.
CREATE SEQUENCE proof_test_seq START WITH 1 INCREMENT BY 1;
CREATE TABLE proof_test (
    id BIGINT PRIMARY KEY,
    handover_id BIGINT NOT NULL,
    site_id BIGINT NOT NULL,
    cabinet_id BIGINT NOT NULL,
    work_id BIGINT NOT NULL,                           -- what holds back the alarms meanwhile
    started_by BIGINT NOT NULL,
    started_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    ends_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    lost_at TIMESTAMP(6) WITH TIME ZONE,               -- the sensor's own time
    heard_at TIMESTAMP(6) WITH TIME ZONE,
    told_at TIMESTAMP(6) WITH TIME ZONE,
    told_person BIGINT,
    nobody BOOLEAN NOT NULL,                           -- nobody on duty has a channel that reaches them
    taken_at TIMESTAMP(6) WITH TIME ZONE,
    returned_at TIMESTAMP(6) WITH TIME ZONE,           -- the sensor's own time
    back_heard TIMESTAMP(6) WITH TIME ZONE,
    ended_at TIMESTAMP(6) WITH TIME ZONE,
    CONSTRAINT proof_test_is_of_a_record FOREIGN KEY (handover_id) REFERENCES handover (id),
    CONSTRAINT proof_test_ends_after_it_begins CHECK (ends_at > started_at)
);
CREATE INDEX proof_test_by_handover ON proof_test (handover_id);
CREATE INDEX proof_test_by_cabinet ON proof_test (cabinet_id);
