-- Where a shift is planned that nobody is on for: one row from being found until it is filled or over. The journal keeps what was.
CREATE TABLE duty_gap (
    site_id BIGINT NOT NULL,
    role VARCHAR(24) NOT NULL,
    begins_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    ends_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    found_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    told_at TIMESTAMP(6) WITH TIME ZONE,   -- the last time
    CONSTRAINT duty_gap_is_known_once PRIMARY KEY (site_id, role, begins_at),
    CONSTRAINT duty_gap_is_at_a_site FOREIGN KEY (site_id) REFERENCES site (id),
    CONSTRAINT duty_gap_role_is_known CHECK (role = ANY (ARRAY['SITE_DUTY', 'DUTY_MANAGER', 'ELECTRICIAN', 'RESPONSIBLE_PERSON'])),
    CONSTRAINT duty_gap_ends_after_it_begins CHECK (ends_at > begins_at)
);

-- Each rota that is there already is looked through; the look itself says when the next is.
INSERT INTO deadline (id, due_at, kind, subject_id, subject_version, attempts)
    SELECT nextval('deadline_seq'), CURRENT_TIMESTAMP, 'DUTY_GAPS', s.site_id, 0, 0 FROM (SELECT DISTINCT site_id FROM duty_shift) s;

-- Who is away around now.
CREATE INDEX duty_absence_by_end ON duty_absence (ends_at);
