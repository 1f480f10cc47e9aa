-- What comes due at the cabinets of a site: a calendar by a secret address, and what people were reminded of.
CREATE TABLE dates_calendar (
    site_id BIGINT PRIMARY KEY,
    token_hash VARCHAR(64) NOT NULL,
    made_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    CONSTRAINT dates_calendar_is_of_a_site FOREIGN KEY (site_id) REFERENCES site (id),
    CONSTRAINT dates_calendar_token_is_unique UNIQUE (token_hash)
);

CREATE TABLE date_reminder (
    cabinet_id BIGINT NOT NULL,
    kind VARCHAR(16) NOT NULL,
    what VARCHAR(80) NOT NULL,
    due_on DATE NOT NULL,
    reminded_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    CONSTRAINT date_is_reminded_of_once PRIMARY KEY (cabinet_id, kind, what, due_on),
    CONSTRAINT date_reminder_is_of_a_cabinet FOREIGN KEY (cabinet_id) REFERENCES cabinet (id)
);
