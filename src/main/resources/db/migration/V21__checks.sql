-- Looks at the lamp: how often, what is due, and what people said.
CREATE TABLE check_plan (
    id BIGINT PRIMARY KEY,
    site_id BIGINT NOT NULL,
    cabinet_id BIGINT NOT NULL,
    kind VARCHAR(16) NOT NULL,
    rule VARCHAR(200) NOT NULL,                        -- RFC 5545, of whole days, counted from the first day
    first_day DATE NOT NULL,
    opens_minute INTEGER NOT NULL,                     -- of the day, on the clocks of the site
    closes_minute INTEGER NOT NULL,                    -- not after the opening: of the day after
    grace_minutes INTEGER NOT NULL,
    when_closed VARCHAR(16) NOT NULL,
    asked_role VARCHAR(24),
    asked_person_id BIGINT,
    closed_role VARCHAR(24),                           -- who is asked on closed days, where it is somebody else
    closed_person_id BIGINT,
    sensor_counts BOOLEAN NOT NULL,
    planned_until DATE,                                -- what is due before this day has its rows; none: nothing is planned yet
    ended_at TIMESTAMP(6) WITH TIME ZONE,
    changed_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,   -- nothing that had closed before is due by it
    changed_by BIGINT,
    version INTEGER NOT NULL,
    CONSTRAINT check_plan_is_for_a_cabinet FOREIGN KEY (cabinet_id) REFERENCES cabinet (id),
    CONSTRAINT check_plan_kind_is_known CHECK (kind = ANY (ARRAY['LAMP', 'CABINET', 'CONTENT', 'TEST_BUTTON'])),
    CONSTRAINT check_plan_knows_closed_days CHECK (when_closed = ANY (ARRAY['SKIP', 'MOVE', 'SOMEBODY_ELSE'])),
    CONSTRAINT check_plan_asks_a_role_or_a_person CHECK ((asked_role IS NULL) <> (asked_person_id IS NULL))
);
CREATE INDEX check_plan_by_site ON check_plan (site_id);
CREATE INDEX check_plan_by_cabinet ON check_plan (cabinet_id);
CREATE INDEX check_plan_by_planned_until ON check_plan (planned_until);

CREATE SEQUENCE check_due_seq START WITH 1 INCREMENT BY 1;
CREATE TABLE check_due (
    id BIGINT PRIMARY KEY,
    plan_id BIGINT NOT NULL,
    site_id BIGINT NOT NULL,
    cabinet_id BIGINT NOT NULL,
    kind VARCHAR(16) NOT NULL,
    on_day DATE NOT NULL,                              -- of the site
    opens_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    closes_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    missed_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    by_somebody_else BOOLEAN NOT NULL,
    extra INTEGER NOT NULL DEFAULT 0,                  -- 0: by the plan; else which one of that day was asked for because the sensor was silent
    opened_at TIMESTAMP(6) WITH TIME ZONE,             -- none: it may still be planned otherwise
    state VARCHAR(8) NOT NULL,
    latest_answer VARCHAR(10),
    latest_at TIMESTAMP(6) WITH TIME ZONE,
    withdrawn_at TIMESTAMP(6) WITH TIME ZONE,          -- its cabinet or its plan is not there any more: nobody is asked
    version BIGINT NOT NULL,
    CONSTRAINT check_is_due_once_a_day UNIQUE (plan_id, on_day, extra),
    CONSTRAINT check_due_is_planned FOREIGN KEY (plan_id) REFERENCES check_plan (id),
    CONSTRAINT check_due_state_is_known CHECK (state = ANY (ARRAY['OPEN', 'DONE', 'MISSED'])),
    CONSTRAINT check_due_closes_after_it_opens CHECK (closes_at > opens_at AND missed_at >= closes_at)
);
CREATE INDEX check_due_by_site_and_day ON check_due (site_id, on_day);
CREATE INDEX check_due_by_cabinet_and_day ON check_due (cabinet_id, on_day);

-- What was said, each as it was said; nothing here is ever changed. What was tapped wrong stays beside what was right.
CREATE SEQUENCE check_record_seq START WITH 1 INCREMENT BY 1;
CREATE TABLE check_record (
    id BIGINT PRIMARY KEY,
    due_id BIGINT NOT NULL,
    site_id BIGINT NOT NULL,
    cabinet_id BIGINT NOT NULL,
    person_id BIGINT,                                  -- none: the sensor stood in for a look
    answer VARCHAR(10) NOT NULL,
    looked_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    received_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    clock_wrong_by_ms BIGINT,                          -- behind: positive
    is_counted BOOLEAN NOT NULL,                       -- one of its window, that came in time
    corrects_id BIGINT,                                -- the answer of the same person that was tapped wrong
    note VARCHAR(500),
    reading VARCHAR(8) NOT NULL,                       -- what was known of the supply when it was received
    CONSTRAINT check_record_is_about_a_due_check FOREIGN KEY (due_id) REFERENCES check_due (id),
    CONSTRAINT check_record_answer_is_known CHECK (answer = ANY (ARRAY['LIT', 'OUT', 'NOT_SEEN', 'DAMAGED']))
);
CREATE INDEX check_record_by_due ON check_record (due_id, id);
CREATE INDEX check_record_by_cabinet ON check_record (cabinet_id, looked_at);

-- Who was asked, each time that they were.
CREATE TABLE check_asked (
    due_id BIGINT NOT NULL,
    person_id BIGINT NOT NULL,
    asked_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    is_reachable BOOLEAN NOT NULL,                     -- no: they have no channel
    CONSTRAINT person_is_asked_once_at_a_time PRIMARY KEY (due_id, person_id, asked_at),
    CONSTRAINT somebody_is_asked_for_a_due_check FOREIGN KEY (due_id) REFERENCES check_due (id)
);

CREATE INDEX check_asked_by_person ON check_asked (person_id, asked_at);

-- Days on which nobody is at a site: its own, and those of a calendar of public holidays.
CREATE TABLE site_closed_day (
    site_id BIGINT NOT NULL,
    on_day DATE NOT NULL,
    name VARCHAR(120) NOT NULL,
    CONSTRAINT day_is_closed_once PRIMARY KEY (site_id, on_day),
    CONSTRAINT closed_day_is_of_a_site FOREIGN KEY (site_id) REFERENCES site (id)
);
CREATE TABLE site_holidays (
    site_id BIGINT PRIMARY KEY,
    calendar VARCHAR(20) NOT NULL,
    CONSTRAINT holidays_are_of_a_site FOREIGN KEY (site_id) REFERENCES site (id)
);
