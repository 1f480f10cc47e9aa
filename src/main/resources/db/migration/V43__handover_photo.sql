-- What a hand-over record shows: its value is the SHA-256, so that what is signed names the picture. One row a cabinet and picture, for every version.
CREATE TABLE handover_photo (
    cabinet_id BIGINT NOT NULL,
    sha256 VARCHAR(64) NOT NULL,
    picture BYTEA NOT NULL,                            -- a JPEG of at most 900,000 bytes
    received_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    received_by BIGINT,                                -- no foreign key: an erased person keeps their number
    CONSTRAINT handover_photo_is_kept_once PRIMARY KEY (cabinet_id, sha256),
    CONSTRAINT handover_photo_is_of_a_cabinet FOREIGN KEY (cabinet_id) REFERENCES cabinet (id)
);
