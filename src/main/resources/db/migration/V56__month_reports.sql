-- The report on a month of a site: one row each, from when it is planned; what is written at its day goes out once for that.
CREATE SEQUENCE month_report_seq START WITH 1 INCREMENT BY 1;
CREATE TABLE month_report (
    id BIGINT PRIMARY KEY,
    site_id BIGINT NOT NULL,
    month_of VARCHAR(7) NOT NULL,                      -- as 2026-11, on the clocks of the site
    written_at TIMESTAMP(6) WITH TIME ZONE,            -- when people were told; none while its day has not come
    CONSTRAINT month_report_is_of_a_site FOREIGN KEY (site_id) REFERENCES site (id),
    CONSTRAINT month_is_reported_once UNIQUE (site_id, month_of)
);

-- The day on which it is sent, where it is another than the usual one.
CREATE TABLE month_report_day (
    site_id BIGINT PRIMARY KEY,
    on_day INTEGER,                                    -- none: it is not sent
    CONSTRAINT month_report_day_is_of_a_site FOREIGN KEY (site_id) REFERENCES site (id),
    CONSTRAINT month_report_day_is_in_every_month CHECK (on_day BETWEEN 1 AND 28)
);

ALTER TABLE outgoing_message ADD COLUMN month_report_id BIGINT;

-- Papers take longer to make than a line of text: like looks, they go behind what is about a loss.
DROP INDEX outgoing_message_by_look_and_next_attempt;
ALTER TABLE outgoing_message DROP COLUMN is_look;
-- No OR of one column: H2 makes a set of it that belongs to the session which made the table, and no insert succeeds once that is closed.
ALTER TABLE outgoing_message ADD COLUMN is_look BOOLEAN GENERATED ALWAYS AS (CASE WHEN purpose = 'LOOK' THEN TRUE WHEN purpose = 'MONTH' THEN TRUE ELSE FALSE END) ${stored};
CREATE INDEX outgoing_message_by_look_and_next_attempt ON outgoing_message (is_look, next_attempt_at, id);

-- Each site that is there already is looked at; the look itself says when the next is.
INSERT INTO deadline (id, due_at, kind, subject_id, subject_version, attempts)
    SELECT nextval('deadline_seq'), CURRENT_TIMESTAMP, 'MONTH_REPORT', s.id, 0, 0 FROM site s;
