-- To one alarm people may go several times: each going is a visit of its own, with its own savings. The highest visit is the last.
ALTER TABLE attendance_entry ADD COLUMN visit INTEGER DEFAULT 1 NOT NULL;
ALTER TABLE attendance_entry ADD CONSTRAINT attendance_visits_count_from_one CHECK (visit >= 1);
