-- Telephones that say of themselves whose they are, so that the label on a cabinet need not ask.
CREATE TABLE phone_invitation (
    token_hash VARCHAR(64) PRIMARY KEY,                -- SHA-256 of the link's secret
    person_id BIGINT NOT NULL,
    made_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    ends_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    CONSTRAINT phone_is_invited_for_a_person FOREIGN KEY (person_id) REFERENCES person (id)
);
CREATE INDEX phone_invitation_by_person ON phone_invitation (person_id);

CREATE TABLE phone (
    id BIGINT PRIMARY KEY,                             -- never used again, so that it may be named after the row is gone
    secret_hash VARCHAR(64) NOT NULL,                  -- SHA-256 of what the phone keeps in its cookie
    person_id BIGINT NOT NULL,
    device VARCHAR(120) NOT NULL,                      -- in words, as far as its browser tells
    enrolled_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    seen_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    CONSTRAINT phone_secret_is_unique UNIQUE (secret_hash),
    CONSTRAINT phone_is_a_persons FOREIGN KEY (person_id) REFERENCES person (id)
);
CREATE INDEX phone_by_person ON phone (person_id);
