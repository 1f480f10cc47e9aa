-- A note bears the questions that were answered with no, beside what was typed.
ALTER TABLE check_record ALTER COLUMN note SET DATA TYPE VARCHAR(2600);
