-- Who is on duty: shifts that come again, stand-ins, absences, whom to fall back on, and the calendar that each person may subscribe to.

CREATE TABLE duty_shift (
    id BIGINT PRIMARY KEY,
    site_id BIGINT NOT NULL,
    role VARCHAR(24) NOT NULL,
    person_id BIGINT,                      -- none: planned, and nobody has taken it yet
    weekdays INTEGER NOT NULL,             -- bit 0 Monday to bit 6 Sunday: when it begins
    from_minute INTEGER NOT NULL,          -- of the day, on the wall clock of the site
    to_minute INTEGER NOT NULL,            -- not after from_minute: on the following day
    every_weeks INTEGER NOT NULL,          -- counted from the week of valid_from
    valid_from DATE NOT NULL,
    valid_until DATE,                      -- the last day on which it begins
    version INTEGER NOT NULL,
    changed_at TIMESTAMP(6) WITH TIME ZONE,
    changed_by BIGINT,
    CONSTRAINT duty_shift_belongs_to_a_site FOREIGN KEY (site_id) REFERENCES site (id),
    CONSTRAINT duty_shift_names_a_person FOREIGN KEY (person_id) REFERENCES person (id),
    CONSTRAINT duty_shift_role_is_known CHECK (role = ANY (ARRAY['SITE_DUTY', 'DUTY_MANAGER', 'ELECTRICIAN', 'RESPONSIBLE_PERSON'])),
    CONSTRAINT duty_shift_begins_on_a_weekday CHECK (weekdays BETWEEN 1 AND 127),
    CONSTRAINT duty_shift_begins_and_ends_within_a_day CHECK (from_minute BETWEEN 0 AND 1439 AND to_minute BETWEEN 0 AND 1439),
    CONSTRAINT duty_shift_comes_again_within_a_year CHECK (every_weeks BETWEEN 1 AND 52),
    CONSTRAINT duty_shift_ends_after_it_begins CHECK (valid_until IS NULL OR valid_until >= valid_from)
);
CREATE INDEX duty_shift_by_site ON duty_shift (site_id);
CREATE INDEX duty_shift_by_person ON duty_shift (person_id);

CREATE TABLE duty_stand_in (
    id BIGINT PRIMARY KEY,
    shift_id BIGINT NOT NULL,
    person_id BIGINT NOT NULL,
    from_day DATE NOT NULL,
    until_day DATE NOT NULL,               -- included
    version INTEGER NOT NULL,
    changed_at TIMESTAMP(6) WITH TIME ZONE,
    changed_by BIGINT,
    CONSTRAINT duty_stand_in_does_a_shift FOREIGN KEY (shift_id) REFERENCES duty_shift (id),
    CONSTRAINT duty_stand_in_names_a_person FOREIGN KEY (person_id) REFERENCES person (id),
    CONSTRAINT duty_stand_in_ends_after_it_begins CHECK (until_day >= from_day)
);
CREATE INDEX duty_stand_in_by_shift ON duty_stand_in (shift_id);
CREATE INDEX duty_stand_in_by_person ON duty_stand_in (person_id);

CREATE TABLE duty_absence (
    id BIGINT PRIMARY KEY,
    person_id BIGINT NOT NULL,
    begins_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    ends_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    version INTEGER NOT NULL,
    changed_at TIMESTAMP(6) WITH TIME ZONE,
    changed_by BIGINT,
    CONSTRAINT duty_absence_names_a_person FOREIGN KEY (person_id) REFERENCES person (id),
    CONSTRAINT duty_absence_ends_after_it_begins CHECK (ends_at > begins_at)
);
CREATE INDEX duty_absence_by_person ON duty_absence (person_id);

CREATE TABLE duty_fallback (
    site_id BIGINT NOT NULL,
    role VARCHAR(24) NOT NULL,
    position INTEGER NOT NULL,             -- 0 is told first
    person_id BIGINT NOT NULL,
    CONSTRAINT duty_fallback_is_unique PRIMARY KEY (site_id, role, position),
    CONSTRAINT duty_fallback_belongs_to_a_site FOREIGN KEY (site_id) REFERENCES site (id),
    CONSTRAINT duty_fallback_names_a_person FOREIGN KEY (person_id) REFERENCES person (id),
    CONSTRAINT duty_fallback_role_is_known CHECK (role = ANY (ARRAY['SITE_DUTY', 'DUTY_MANAGER', 'ELECTRICIAN', 'RESPONSIBLE_PERSON']))
);
CREATE INDEX duty_fallback_by_person ON duty_fallback (person_id);

-- One calendar a person, by a link that whoever has it may read.
CREATE TABLE duty_calendar (
    person_id BIGINT PRIMARY KEY,
    token_hash VARCHAR(64) NOT NULL,       -- SHA-256 of a random 128-bit secret
    made_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    CONSTRAINT duty_calendar_is_of_a_person FOREIGN KEY (person_id) REFERENCES person (id),
    CONSTRAINT duty_calendar_token_is_unique UNIQUE (token_hash)
);
