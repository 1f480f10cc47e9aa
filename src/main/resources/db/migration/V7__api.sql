-- What programs asked for, and files that are to be taken in.

-- A request that carried an Idempotency-Key. No status: still under way, or of a process that died. Written in the transaction of what
-- the request did, so that the one is there exactly if the other is.
CREATE TABLE api_answer (
    person_id BIGINT NOT NULL,
    key_hash VARCHAR(64) NOT NULL,                     -- SHA-256 of the key
    fingerprint VARCHAR(64) NOT NULL,                  -- SHA-256 of address and body
    begun_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    status INTEGER,
    location VARCHAR(400),
    tag VARCHAR(80),
    body VARCHAR(100000),                              -- as answered, but never with a secret
    CONSTRAINT api_answer_is_one_a_key PRIMARY KEY (person_id, key_hash)
);
CREATE INDEX api_answer_by_begun_at ON api_answer (begun_at);

-- A CSV file that somebody sent: looked through first, taken in as a whole later, by any instance.
CREATE SEQUENCE csv_import_seq START WITH 1 INCREMENT BY 1;
CREATE TABLE csv_import (
    id BIGINT PRIMARY KEY,
    person_id BIGINT NOT NULL,
    kind VARCHAR(12) NOT NULL,
    file_name VARCHAR(200) NOT NULL,
    content TEXT NOT NULL,
    state VARCHAR(12) NOT NULL,
    sent_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    seen_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,      -- while it is being taken: when it last got on
    all_rows INTEGER NOT NULL,
    rows_done INTEGER NOT NULL,
    result TEXT,                                       -- JSON: what was taken, or why it was not
    secrets_at TIMESTAMP(6) WITH TIME ZONE,            -- when the secrets of its new sensors were made and given out
    CONSTRAINT csv_import_kind_is_known CHECK (kind = ANY (ARRAY['SITES', 'CABINETS', 'SENSORS'])),
    CONSTRAINT csv_import_state_is_known CHECK (state = ANY (ARRAY['SEEN', 'TAKING', 'TAKEN', 'REFUSED']))
);
CREATE INDEX csv_import_by_sent_at ON csv_import (sent_at);
