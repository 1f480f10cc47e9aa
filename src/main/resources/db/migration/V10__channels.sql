-- How each person is reached, in their own order, and how each kind of channel fares.

CREATE SEQUENCE person_channel_seq START WITH 1 INCREMENT BY 1;
CREATE TABLE person_channel (
    id BIGINT PRIMARY KEY,
    person_id BIGINT NOT NULL,
    kind VARCHAR(24) NOT NULL,                         -- an open set: what is known of a kind is in the program
    address VARCHAR(400) NOT NULL,
    place INTEGER NOT NULL,                            -- the lowest is tried first; gaps are of no account
    follows_sign_in BOOLEAN NOT NULL,                  -- the register's mail address, and changed with it
    proven_at TIMESTAMP(6) WITH TIME ZONE,             -- when its person last showed that it reaches them; none: never, or not since it changed
    rings_at_night BOOLEAN,                            -- what its person answered; none: not asked, or not answered
    added_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    version INTEGER NOT NULL,
    CONSTRAINT person_channel_is_named_once UNIQUE (person_id, kind, address),
    CONSTRAINT person_channel_is_of_a_person FOREIGN KEY (person_id) REFERENCES person (id)
);
CREATE INDEX person_channel_by_person ON person_channel (person_id, place);

-- Who could be told until now could be told by mail.
INSERT INTO person_channel (id, person_id, kind, address, place, follows_sign_in, added_at, version)
SELECT nextval('person_channel_seq'), p.id, 'MAIL', p.mail, 1, TRUE, CURRENT_TIMESTAMP, 0 FROM person p WHERE p.mail IS NOT NULL;

-- One row a kind, made by its first failure. Does not change while all is well.
CREATE TABLE channel_health (
    kind VARCHAR(24) PRIMARY KEY,
    failures INTEGER NOT NULL,                         -- in a row, of the channel and not of one message
    failing_since TIMESTAMP(6) WITH TIME ZONE,
    open_until TIMESTAMP(6) WITH TIME ZONE,            -- nothing is handed over before; then one message tries
    reason VARCHAR(400)
);
INSERT INTO channel_health (kind, failures, failing_since, reason)
SELECT 'MAIL', CASE WHEN h.failing_since IS NULL THEN 0 ELSE 1 END, h.failing_since, h.reason FROM mail_health h WHERE h.id = 1;
DROP TABLE mail_health;

ALTER TABLE outgoing_message ALTER COLUMN channel SET DATA TYPE VARCHAR(24);
ALTER TABLE outgoing_message ALTER COLUMN address SET DATA TYPE VARCHAR(400);
ALTER TABLE outgoing_message ADD COLUMN telling BIGINT;                -- the first message of those that tell one person one thing
ALTER TABLE outgoing_message ADD COLUMN channel_id BIGINT;             -- none for an address that is no channel, such as an invitation's
ALTER TABLE outgoing_message ADD COLUMN brief VARCHAR(1000);           -- the same in few words, for a channel that carries no more
ALTER TABLE outgoing_message ADD COLUMN network_id VARCHAR(120);       -- what the network calls it, for its receipt
ALTER TABLE outgoing_message ADD COLUMN arrival VARCHAR(16);           -- ARRIVED, NOT_ARRIVED; none: not known
ALTER TABLE outgoing_message ADD COLUMN arrival_at TIMESTAMP(6) WITH TIME ZONE;
UPDATE outgoing_message SET telling = id;
ALTER TABLE outgoing_message ADD CONSTRAINT outgoing_message_arrival_is_known CHECK (arrival = ANY (ARRAY['ARRIVED', 'NOT_ARRIVED']));
ALTER TABLE outgoing_message ADD CONSTRAINT outgoing_message_goes_by_a_channel_once UNIQUE (telling, channel_id);
CREATE INDEX outgoing_message_by_network_id ON outgoing_message (network_id);

-- A receipt that came before the network had answered with its name for the message; kept until it is claimed.
CREATE TABLE early_receipt (
    channel VARCHAR(24) NOT NULL,
    network_id VARCHAR(120) NOT NULL,
    has_arrived BOOLEAN NOT NULL,
    reason VARCHAR(400) NOT NULL,
    at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    PRIMARY KEY (channel, network_id)
);
