-- What people send back to a short message.

-- By the number that it comes from: whose it is, and what was told to it.
CREATE INDEX person_channel_by_address ON person_channel (address);
CREATE INDEX outgoing_message_by_address ON outgoing_message (address, created_at);

-- Passed on once is passed on, until they are told again.
ALTER TABLE call_out_told ADD COLUMN passed_on BIGINT;                 -- the newest telling of those that they have passed on

-- Parts of a text, until all are there.
CREATE TABLE reply_part (
    channel VARCHAR(24) NOT NULL,
    sender VARCHAR(40) NOT NULL,                       -- as the network wrote it
    reference INTEGER NOT NULL,                        -- the same for all parts of one text
    of_parts INTEGER NOT NULL,
    number INTEGER NOT NULL,                           -- from 1
    text VARCHAR(400) NOT NULL,
    heard_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    CONSTRAINT reply_part_is_kept_once PRIMARY KEY (channel, sender, reference, of_parts, number)
);
