-- Enrolled phones whose browser takes messages (RFC 8030). The channel of its person names the phone; what is needed to write to it is here alone.
CREATE TABLE push_subscription (
    phone_id BIGINT PRIMARY KEY,
    person_id BIGINT NOT NULL,
    endpoint VARCHAR(2000) NOT NULL,
    p256dh VARCHAR(100) NOT NULL,                      -- the browser's key
    auth VARCHAR(40) NOT NULL,                         -- and its secret, as it gave them
    key_id INTEGER NOT NULL,                           -- of ours, outside the database, to which the browser has tied it
    made_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    CONSTRAINT push_is_to_an_enrolled_phone FOREIGN KEY (phone_id) REFERENCES phone (id) ON DELETE CASCADE
);
