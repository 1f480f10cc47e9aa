-- Since when what a channel had shown does not count: a message by it came back. Ends when its person shows anew that it reaches them.
ALTER TABLE person_channel ADD COLUMN returned_at TIMESTAMP(6) WITH TIME ZONE;
ALTER TABLE person_channel ADD COLUMN returned_why VARCHAR(250);
ALTER TABLE person_channel ADD CONSTRAINT person_channel_return_has_a_reason CHECK ((returned_at IS NULL) = (returned_why IS NULL));
