-- An entry is chained by the digest of what it says, so that whoever may not read it can still follow the chain past it. The salt keeps them
-- from finding out by trying what it says.
ALTER TABLE journal_entry ADD COLUMN seal_salt VARCHAR(32);

-- Chained anew in this layout: nothing had been released with the one before.
UPDATE journal_entry SET seal_number = NULL, seal_hash = NULL;
UPDATE journal_head SET seal_number = 0, seal_hash = '0000000000000000000000000000000000000000000000000000000000000000';
