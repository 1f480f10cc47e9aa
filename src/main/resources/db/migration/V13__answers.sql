-- What the person told did with a message through the network that carried it; a repeat of it records nothing new.
ALTER TABLE outgoing_message ADD COLUMN answer VARCHAR(8);             -- TAKE, PASS_ON; none: not answered, or in vain
ALTER TABLE outgoing_message ADD CONSTRAINT outgoing_message_answer_is_known CHECK (answer = ANY (ARRAY['TAKE', 'PASS_ON']));
