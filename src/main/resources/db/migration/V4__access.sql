-- Who may do what where, and how they show who they are. Nothing here could be used again by whoever reads a copy of it: passwords are
-- kept as a slow hash, everything random as SHA-256 in hex.

CREATE SEQUENCE access_seq START WITH 1000 INCREMENT BY 1;

CREATE TABLE account (
    person_id BIGINT PRIMARY KEY,
    sign_in_mail VARCHAR(254),                         -- in lower case; none until the person has one of their own
    password_hash VARCHAR(200),                        -- none until the invitation is accepted, or when a provider signs them in
    password_at TIMESTAMP(6) WITH TIME ZONE,
    session_version INTEGER NOT NULL,                  -- raised to end every session at once
    created_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    CONSTRAINT account_is_a_persons FOREIGN KEY (person_id) REFERENCES person (id),
    CONSTRAINT account_sign_in_mail_is_unique UNIQUE (sign_in_mail)
);

CREATE TABLE role_grant (
    person_id BIGINT NOT NULL,
    role VARCHAR(24) NOT NULL,
    site_id BIGINT,                                    -- none: at every site, those to come included
    holds_at BIGINT GENERATED ALWAYS AS (COALESCE(site_id, 0)) ${stored},
    granted_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    CONSTRAINT role_is_granted_once UNIQUE (person_id, role, holds_at),
    CONSTRAINT role_grant_is_a_persons FOREIGN KEY (person_id) REFERENCES person (id),
    CONSTRAINT role_holds_at_a_site FOREIGN KEY (site_id) REFERENCES site (id),
    CONSTRAINT role_is_known CHECK (role = ANY (ARRAY['ADMINISTRATOR', 'DUTY_MANAGER', 'SITE_STAFF', 'INSTALLER', 'RESPONSIBLE_PERSON']))
);
CREATE INDEX role_grant_by_site ON role_grant (site_id);

CREATE TABLE invitation (
    token_hash VARCHAR(64) PRIMARY KEY,
    person_id BIGINT,                                  -- none: the first administrator, whoever that will be
    made_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    ends_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    used_at TIMESTAMP(6) WITH TIME ZONE,
    CONSTRAINT invitation_is_for_a_person FOREIGN KEY (person_id) REFERENCES person (id)
);
CREATE INDEX invitation_by_person ON invitation (person_id);

CREATE TABLE sign_in (
    token_hash VARCHAR(64) PRIMARY KEY,
    id BIGINT NOT NULL,
    person_id BIGINT NOT NULL,
    session_version INTEGER NOT NULL,                  -- the account's when it was opened; another one: it has been ended
    opened_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    seen_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,      -- written at most once a minute
    ends_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,      -- whatever happens
    device VARCHAR(120) NOT NULL,
    CONSTRAINT sign_in_id_is_unique UNIQUE (id),
    CONSTRAINT sign_in_is_of_an_account FOREIGN KEY (person_id) REFERENCES account (person_id)
);
CREATE INDEX sign_in_by_person ON sign_in (person_id);
CREATE INDEX sign_in_by_ends_at ON sign_in (ends_at);

CREATE TABLE api_token (
    id BIGINT PRIMARY KEY,
    token_hash VARCHAR(64) NOT NULL,
    person_id BIGINT NOT NULL,
    name VARCHAR(80) NOT NULL,                         -- what it is for
    may_write BOOLEAN NOT NULL,
    all_sites BOOLEAN NOT NULL,                        -- wherever its owner may; otherwise only at those of api_token_site
    created_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    ends_at TIMESTAMP(6) WITH TIME ZONE,
    last_used_at TIMESTAMP(6) WITH TIME ZONE,          -- written at most once a minute
    revoked_at TIMESTAMP(6) WITH TIME ZONE,
    CONSTRAINT api_token_hash_is_unique UNIQUE (token_hash),
    CONSTRAINT api_token_is_of_an_account FOREIGN KEY (person_id) REFERENCES account (person_id)
);
CREATE INDEX api_token_by_person ON api_token (person_id);

CREATE TABLE api_token_site (
    api_token_id BIGINT NOT NULL,
    site_id BIGINT NOT NULL,
    CONSTRAINT api_token_site_is_unique PRIMARY KEY (api_token_id, site_id),
    CONSTRAINT api_token_site_belongs_to_a_token FOREIGN KEY (api_token_id) REFERENCES api_token (id),
    CONSTRAINT api_token_site_is_a_site FOREIGN KEY (site_id) REFERENCES site (id)
);

-- How often somebody was wrong lately, by mail address and by where the try came from; both only as SHA-256.
CREATE TABLE sign_in_failure (
    subject VARCHAR(80) PRIMARY KEY,
    failures INTEGER NOT NULL,
    last_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    next_at TIMESTAMP(6) WITH TIME ZONE NOT NULL       -- no try is looked at before
);
CREATE INDEX sign_in_failure_by_last_at ON sign_in_failure (last_at);
