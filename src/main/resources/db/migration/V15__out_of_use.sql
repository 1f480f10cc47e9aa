-- Why a cabinet is out of use, and who took it. No foreign key: an erased person keeps their number.
ALTER TABLE cabinet ADD COLUMN out_of_use_because VARCHAR(200);
ALTER TABLE cabinet ADD COLUMN out_of_use_by BIGINT;
