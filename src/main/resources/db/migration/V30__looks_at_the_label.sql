-- A plan may ask for a code that stands on the label at the cabinet and nowhere else: whoever types it says so at the cabinet.
ALTER TABLE cabinet_label ADD COLUMN look_code VARCHAR(6);                         -- none: the label was printed before there were any
ALTER TABLE check_plan ADD COLUMN asks_code BOOLEAN DEFAULT FALSE NOT NULL;
ALTER TABLE check_due ADD COLUMN wrong_codes INTEGER DEFAULT 0 NOT NULL;           -- how many were typed; after a few no code counts any more
ALTER TABLE check_record ADD COLUMN at_cabinet BOOLEAN DEFAULT FALSE NOT NULL;     -- said with the code of the label

-- Whoever stands at a cabinet may say what they see with nothing due: a look of its own, by no plan.
ALTER TABLE check_due ALTER COLUMN plan_id DROP NOT NULL;
ALTER TABLE check_due ADD COLUMN from_label BOOLEAN DEFAULT FALSE NOT NULL;
ALTER TABLE check_due ADD CONSTRAINT check_due_has_a_plan_or_a_label CHECK (from_label = (plan_id IS NULL));
