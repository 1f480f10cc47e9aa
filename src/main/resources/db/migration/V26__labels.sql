-- The code on the label of a cabinet, which leads a phone to its look. It names the cabinet and gives nobody any right.
CREATE TABLE cabinet_label (
    cabinet_id BIGINT PRIMARY KEY,
    code VARCHAR(32) NOT NULL,                         -- as in its address: it must be printed again, so it is no hash
    made_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    CONSTRAINT label_names_one_cabinet UNIQUE (code),
    CONSTRAINT label_is_of_a_cabinet FOREIGN KEY (cabinet_id) REFERENCES cabinet (id)
);

-- What a phone kept and sent later: its own name for it, by which it counts once however often it is sent.
ALTER TABLE check_record ADD COLUMN phone_answer VARCHAR(36);
ALTER TABLE check_record ADD CONSTRAINT kept_answer_counts_once UNIQUE (person_id, phone_answer);
