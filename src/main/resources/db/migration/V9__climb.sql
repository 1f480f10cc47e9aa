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
-- Those that somebody has: called again too, as if the rule had held when they took it.
UPDATE call_out SET call_again_at = taken_at + INTERVAL '4' HOUR, next_at = taken_at + INTERVAL '4' HOUR WHERE phase = 'TAKEN';
INSERT INTO deadline (id, due_at, kind, subject_id, subject_version, attempts)
    SELECT nextval('deadline_seq'), next_at, 'CALL_OUT', id, version, 0 FROM call_out WHERE phase = 'TAKEN';
