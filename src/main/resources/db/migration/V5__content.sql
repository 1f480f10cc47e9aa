-- What a cabinet holds and at which temperatures it may be stored; who changed what last; cabinets that are out of use.

CREATE TABLE content (
    cabinet_id BIGINT PRIMARY KEY,
    limits_asked BOOLEAN NOT NULL,         -- false: nobody has looked up the maker's limits yet; that is not "none"
    lowest_c DOUBLE PRECISION,             -- none, once asked: the maker gives none
    highest_c DOUBLE PRECISION,
    changed_at TIMESTAMP(6) WITH TIME ZONE,
    changed_by BIGINT,
    version INTEGER NOT NULL,
    CONSTRAINT content_belongs_to_a_cabinet FOREIGN KEY (cabinet_id) REFERENCES cabinet (id),
    CONSTRAINT content_is_stored_within_its_limits CHECK (lowest_c IS NULL OR highest_c IS NULL OR lowest_c < highest_c),
    CONSTRAINT content_limits_were_asked_for CHECK (limits_asked OR (lowest_c IS NULL AND highest_c IS NULL))
);
INSERT INTO content (cabinet_id, limits_asked, version) SELECT id, FALSE, 0 FROM cabinet;

CREATE TABLE content_part (
    cabinet_id BIGINT NOT NULL,
    position INTEGER NOT NULL,
    name VARCHAR(80) NOT NULL,
    good_until DATE NOT NULL,              -- the last day on which it may be used
    CONSTRAINT content_part_is_unique PRIMARY KEY (cabinet_id, position),
    CONSTRAINT content_part_belongs_to_a_content FOREIGN KEY (cabinet_id) REFERENCES content (cabinet_id)
);

-- Out of use: its circuit is gone, its code, its name and its history stay.
ALTER TABLE cabinet ADD COLUMN out_of_use_since TIMESTAMP(6) WITH TIME ZONE;

-- Who changed it last, for whoever finds that it was changed meanwhile. No foreign key: an erased person keeps their number.
ALTER TABLE person ADD COLUMN changed_at TIMESTAMP(6) WITH TIME ZONE;
ALTER TABLE person ADD COLUMN changed_by BIGINT;
ALTER TABLE site ADD COLUMN changed_at TIMESTAMP(6) WITH TIME ZONE;
ALTER TABLE site ADD COLUMN changed_by BIGINT;
ALTER TABLE board ADD COLUMN changed_at TIMESTAMP(6) WITH TIME ZONE;
ALTER TABLE board ADD COLUMN changed_by BIGINT;
ALTER TABLE cabinet ADD COLUMN changed_at TIMESTAMP(6) WITH TIME ZONE;
ALTER TABLE cabinet ADD COLUMN changed_by BIGINT;
ALTER TABLE circuit ADD COLUMN changed_at TIMESTAMP(6) WITH TIME ZONE;
ALTER TABLE circuit ADD COLUMN changed_by BIGINT;
ALTER TABLE sensor ADD COLUMN changed_at TIMESTAMP(6) WITH TIME ZONE;
ALTER TABLE sensor ADD COLUMN changed_by BIGINT;
ALTER TABLE call_out_list ADD COLUMN changed_at TIMESTAMP(6) WITH TIME ZONE;
ALTER TABLE call_out_list ADD COLUMN changed_by BIGINT;

-- Ended early by a person: over from then on, whatever ends_at said.
ALTER TABLE suppression ADD COLUMN ended_at TIMESTAMP(6) WITH TIME ZONE;
ALTER TABLE suppression ADD COLUMN ended_by BIGINT;
CREATE INDEX suppression_by_board ON suppression (board_id, ends_at);
