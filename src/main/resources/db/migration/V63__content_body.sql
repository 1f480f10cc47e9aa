-- Whether one temperature stands for all of a content: what its Biot number is worked out from.
ALTER TABLE warmth ADD COLUMN surface_w_per_m2k DOUBLE PRECISION; -- heat transfer between the content and the air around it
ALTER TABLE warmth ADD COLUMN content_mm DOUBLE PRECISION;        -- its volume over its surface
ALTER TABLE warmth ADD COLUMN content_w_per_mk DOUBLE PRECISION;  -- thermal conductivity of what it is made of
ALTER TABLE warmth ADD CONSTRAINT figures_of_a_content_go_together CHECK ((surface_w_per_m2k IS NULL) = (content_mm IS NULL)
    AND (content_mm IS NULL) = (content_w_per_mk IS NULL));
