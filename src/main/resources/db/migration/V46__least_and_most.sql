-- Least and most of what was measured within a quarter of an hour, of which the newest is kept besides: a dip between two reports is not lost.
-- In a closed quarter each may be empty where it is the newest. None is indexed.
ALTER TABLE sensor_status ADD COLUMN inside_least_c DOUBLE PRECISION;
ALTER TABLE sensor_status ADD COLUMN inside_most_c DOUBLE PRECISION;
ALTER TABLE sensor_status ADD COLUMN outside_least_c DOUBLE PRECISION;
ALTER TABLE sensor_status ADD COLUMN outside_most_c DOUBLE PRECISION;
ALTER TABLE sensor_quarter ADD COLUMN inside_least_c DOUBLE PRECISION;
ALTER TABLE sensor_quarter ADD COLUMN inside_most_c DOUBLE PRECISION;
ALTER TABLE sensor_quarter ADD COLUMN outside_least_c DOUBLE PRECISION;
ALTER TABLE sensor_quarter ADD COLUMN outside_most_c DOUBLE PRECISION;
