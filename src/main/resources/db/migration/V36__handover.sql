-- The hand-over record of a cabinet: versions, and every value as it was typed. Values are only ever added.
CREATE SEQUENCE handover_seq START WITH 1 INCREMENT BY 1;
CREATE TABLE handover (
    id BIGINT PRIMARY KEY,
    cabinet_id BIGINT NOT NULL,
    number INTEGER NOT NULL,                           -- which version of the record of this cabinet
    opened_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    opened_by BIGINT,                                  -- no foreign key: an erased person keeps their number
    revision INTEGER NOT NULL,                         -- of the value that was saved last
    installer_signed_at TIMESTAMP(6) WITH TIME ZONE,
    installer_signed_by BIGINT,
    remark VARCHAR(2000),                              -- what was decided about figures that are not within, and why there was no proof test
    site_signed_at TIMESTAMP(6) WITH TIME ZONE,
    site_signed_by BIGINT,
    document VARCHAR(200000),                          -- canonical JSON, without people, as it was signed
    fingerprint VARCHAR(64),                           -- SHA-256 of it, as in the journal
    CONSTRAINT handover_is_numbered_once UNIQUE (cabinet_id, number),
    CONSTRAINT handover_is_of_a_cabinet FOREIGN KEY (cabinet_id) REFERENCES cabinet (id),
    CONSTRAINT handover_is_signed_by_the_site_last CHECK (site_signed_at IS NULL OR installer_signed_at IS NOT NULL),
    CONSTRAINT handover_that_is_signed_has_a_fingerprint CHECK ((installer_signed_at IS NULL) = (fingerprint IS NULL))
);

CREATE TABLE handover_value (
    handover_id BIGINT NOT NULL,
    revision INTEGER NOT NULL,
    field VARCHAR(40) NOT NULL,
    typed VARCHAR(400) NOT NULL,                       -- empty: it was emptied
    beside BOOLEAN NOT NULL,                           -- typed without having seen what holds: kept, until somebody who saw both decides
    saved_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    saved_by BIGINT,                                   -- none: taken over from the register or from the version before
    CONSTRAINT handover_value_is_saved_once PRIMARY KEY (handover_id, revision),
    CONSTRAINT handover_value_is_of_a_record FOREIGN KEY (handover_id) REFERENCES handover (id)
);
