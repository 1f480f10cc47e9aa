-- A sensor whose thermometer has failed goes on reporting: what it measured last must not look fresh for that. Neither is indexed.
ALTER TABLE sensor_status ADD COLUMN inside_at TIMESTAMP(6) WITH TIME ZONE;
ALTER TABLE sensor_status ADD COLUMN outside_at TIMESTAMP(6) WITH TIME ZONE;
UPDATE sensor_status SET inside_at = CASE WHEN inside_c IS NOT NULL THEN observed_at END, outside_at = CASE WHEN outside_c IS NOT NULL THEN observed_at END;

-- When what was measured was within its limits again, of an alarm that stays until somebody has looked.
ALTER TABLE alarm ADD COLUMN eased_at TIMESTAMP(6) WITH TIME ZONE;
