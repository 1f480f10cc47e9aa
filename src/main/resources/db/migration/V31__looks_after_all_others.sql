-- Looks come due, and are asked for, by the thousand at the same minute: what is about a loss is found before them, by index.
ALTER TABLE deadline ADD COLUMN is_look BOOLEAN GENERATED ALWAYS AS (kind = 'CHECK') ${stored};
CREATE INDEX deadline_by_look_and_due_at ON deadline (is_look, due_at, id);
ALTER TABLE outgoing_message ADD COLUMN is_look BOOLEAN GENERATED ALWAYS AS (purpose = 'LOOK') ${stored};
CREATE INDEX outgoing_message_by_look_and_next_attempt ON outgoing_message (is_look, next_attempt_at, id);
