-- What a phone kept and sent later: its own name for it, by which it counts once however often it is sent.
ALTER TABLE check_record ADD COLUMN phone_answer VARCHAR(36);
ALTER TABLE check_record ADD CONSTRAINT kept_answer_counts_once UNIQUE (person_id, phone_answer);

-- A photo of what was seen, made small and without what a camera writes into its files. In a table of its own, so that no list reads it.
CREATE TABLE check_photo (
    record_id BIGINT PRIMARY KEY,
    cabinet_id BIGINT NOT NULL,
    picture BYTEA,                                     -- a JPEG of at most 900,000 bytes; none: whoever took it was erased
    sha256 VARCHAR(64) NOT NULL,                       -- of the picture, as it stands in the journal
    received_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    CONSTRAINT photo_is_of_a_record FOREIGN KEY (record_id) REFERENCES check_record (id) ON DELETE CASCADE
);
