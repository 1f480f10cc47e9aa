-- Turns that name a role, rounds and a last resort; where a call-out stands and who has it.

ALTER TABLE call_out_step ALTER COLUMN person_id DROP NOT NULL;
ALTER TABLE call_out_step ADD COLUMN role VARCHAR(24);  -- whoever is on duty for it when the turn comes; instead of a person
ALTER TABLE call_out_step ADD CONSTRAINT call_out_step_names_a_person_or_a_role CHECK ((person_id IS NULL) <> (role IS NULL));
ALTER TABLE call_out_step ADD CONSTRAINT call_out_step_role_is_known
    CHECK (role IS NULL OR role = ANY (ARRAY['SITE_DUTY', 'DUTY_MANAGER', 'ELECTRICIAN', 'RESPONSIBLE_PERSON']));

ALTER TABLE call_out_list ADD COLUMN rounds INTEGER DEFAULT 3 NOT NULL;            -- until the last resort
ALTER TABLE call_out_list ADD COLUMN last_resort BOOLEAN DEFAULT TRUE NOT NULL;    -- everybody of the site
ALTER TABLE call_out_list ADD CONSTRAINT call_out_list_is_gone_through_once_or_more CHECK (rounds >= 1);

-- told: from here on the turns given in this round. What was told before counts as a round.
ALTER TABLE call_out ADD COLUMN phase VARCHAR(12) DEFAULT 'CLIMBING' NOT NULL;
ALTER TABLE call_out ADD COLUMN round INTEGER DEFAULT 0 NOT NULL;                  -- how often the list was gone through to its end
ALTER TABLE call_out ADD COLUMN promised_at TIMESTAMP(6) WITH TIME ZONE;           -- when who has it said they would be there
ALTER TABLE call_out ADD COLUMN arrived BOOLEAN DEFAULT FALSE NOT NULL;            -- an arrival is recorded
ALTER TABLE call_out ADD COLUMN call_again_at TIMESTAMP(6) WITH TIME ZONE;         -- unless it is back to normal by then
ALTER TABLE call_out ADD COLUMN asked_person BIGINT;                               -- to take it over
ALTER TABLE call_out ADD COLUMN asked_until TIMESTAMP(6) WITH TIME ZONE;
ALTER TABLE call_out ADD CONSTRAINT call_out_phase_is_known
    CHECK (phase = ANY (ARRAY['RESTING', 'CLIMBING', 'LAST_RESORT', 'TAKEN', 'HANDED_ON', 'ENDED']));
UPDATE call_out SET phase = CASE WHEN ended_at IS NOT NULL THEN 'ENDED' WHEN taken_at IS NOT NULL THEN 'TAKEN'
    WHEN next_at IS NOT NULL THEN 'CLIMBING' ELSE 'RESTING' END;
-- Losses that are told together: what they have in common, and when those who were told hear of what has joined.
ALTER TABLE call_out ADD COLUMN joined INTEGER DEFAULT 0 NOT NULL;                 -- alarms that ever did
ALTER TABLE call_out ADD COLUMN joined_at TIMESTAMP(6) WITH TIME ZONE;             -- the newest loss; none where it is about none
ALTER TABLE call_out ADD COLUMN board_id BIGINT;                                   -- of all of them; none where they share none
ALTER TABLE call_out ADD COLUMN intake_site_id BIGINT;                             -- the site of their boards
ALTER TABLE call_out ADD COLUMN merges INTEGER DEFAULT 0 NOT NULL;                 -- messages about what has joined
ALTER TABLE call_out ADD COLUMN merged_at TIMESTAMP(6) WITH TIME ZONE;             -- the first message, or the newest of those
ALTER TABLE call_out ADD COLUMN merge_at TIMESTAMP(6) WITH TIME ZONE;              -- the next of those
CREATE INDEX call_out_by_site ON call_out (site_id, joined_at);
ALTER TABLE alarm ADD COLUMN call_out_place INTEGER DEFAULT 0 NOT NULL;            -- the how manieth of its call-out
CREATE INDEX alarm_by_call_out_and_state ON alarm (call_out_id, state);

-- Of what somebody has been told: of all places of the call-out up to this one.
CREATE TABLE call_out_told (
    call_out_id BIGINT NOT NULL,
    person_id BIGINT NOT NULL,
    up_to_place INTEGER NOT NULL,
    CONSTRAINT call_out_told_is_unique PRIMARY KEY (call_out_id, person_id)
);

-- A message may name thousands of cabinets.
ALTER TABLE outgoing_message ALTER COLUMN body SET DATA TYPE VARCHAR(1000000);

-- Those that somebody has: called again too, as if the rule had held when they took it.
UPDATE call_out SET call_again_at = taken_at + INTERVAL '4' HOUR, next_at = taken_at + INTERVAL '4' HOUR WHERE phase = 'TAKEN';
INSERT INTO deadline (id, due_at, kind, subject_id, subject_version, attempts)
    SELECT nextval('deadline_seq'), next_at, 'CALL_OUT', id, version, 0 FROM call_out WHERE phase = 'TAKEN';
