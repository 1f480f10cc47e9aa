-- What stands where, what feeds it, and who is told. Runs unchanged on H2 (PostgreSQL mode) and on PostgreSQL.
-- Times are TIMESTAMP(6) WITH TIME ZONE; words are VARCHAR with a check, so that a dump can be read by a person.
-- A check of a list of words says = ANY (ARRAY[...]): H2 compiles IN (...) with the session that creates the table, and once that session
-- has ended every insert fails with "Check constraint invalid" until the database is opened anew.

CREATE SEQUENCE register_seq START WITH 1000 INCREMENT BY 50;

CREATE TABLE person (
    id BIGINT PRIMARY KEY,
    reference VARCHAR(64) NOT NULL,        -- what the journal calls this person: hash of salt and id
    salt VARCHAR(32),                      -- dropped with the name when a person is erased: nobody can make the reference again
    name VARCHAR(120) NOT NULL,
    mail VARCHAR(254),
    phone VARCHAR(40),
    version INTEGER NOT NULL,
    CONSTRAINT person_reference_is_unique UNIQUE (reference)
);

CREATE TABLE site (
    id BIGINT PRIMARY KEY,
    name VARCHAR(120) NOT NULL,
    address VARCHAR(400) NOT NULL,
    zone VARCHAR(64) NOT NULL,             -- IANA name
    access VARCHAR(400) NOT NULL,          -- gate code, key safe: how to get in
    intake VARCHAR(200) NOT NULL,          -- where the supply of the whole site comes in
    electrician_name VARCHAR(120),
    electrician_phone VARCHAR(40),
    version INTEGER NOT NULL,
    CONSTRAINT site_name_is_unique UNIQUE (name)
);

CREATE TABLE board (
    id BIGINT PRIMARY KEY,
    site_id BIGINT NOT NULL,
    name VARCHAR(120) NOT NULL,
    place VARCHAR(200) NOT NULL,
    access VARCHAR(200) NOT NULL,          -- key or code for the board's room
    version INTEGER NOT NULL,
    CONSTRAINT board_belongs_to_a_site FOREIGN KEY (site_id) REFERENCES site (id),
    CONSTRAINT board_name_is_unique_at_its_site UNIQUE (site_id, name)
);

CREATE TABLE cabinet (
    id BIGINT PRIMARY KEY,
    site_id BIGINT NOT NULL,
    code VARCHAR(12) NOT NULL,             -- printed on the label
    name VARCHAR(120) NOT NULL,
    place VARCHAR(200) NOT NULL,
    content VARCHAR(80) NOT NULL,          -- what it holds, one word or two
    lamp_place VARCHAR(200) NOT NULL,
    version INTEGER NOT NULL,
    CONSTRAINT cabinet_belongs_to_a_site FOREIGN KEY (site_id) REFERENCES site (id),
    CONSTRAINT cabinet_code_is_unique UNIQUE (code),
    CONSTRAINT cabinet_name_is_unique_at_its_site UNIQUE (site_id, name)
);

-- A board may feed cabinets of another site, so a circuit's board need not stand at its cabinet's site.
CREATE TABLE circuit (
    id BIGINT PRIMARY KEY,
    cabinet_id BIGINT NOT NULL,
    board_id BIGINT NOT NULL,
    way VARCHAR(12) NOT NULL,
    device_kind VARCHAR(12) NOT NULL,      -- RCBO, MCB
    device_curve VARCHAR(1) NOT NULL,      -- B, C, D
    device_rating_a INTEGER NOT NULL,
    residual_ma INTEGER,                   -- none where the device has no residual-current part
    cable VARCHAR(120) NOT NULL,
    fuse_a INTEGER NOT NULL,
    fused_unit_place VARCHAR(200) NOT NULL,
    version INTEGER NOT NULL,
    CONSTRAINT circuit_feeds_a_cabinet FOREIGN KEY (cabinet_id) REFERENCES cabinet (id),
    CONSTRAINT circuit_starts_at_a_board FOREIGN KEY (board_id) REFERENCES board (id),
    CONSTRAINT cabinet_has_one_circuit UNIQUE (cabinet_id),
    CONSTRAINT way_is_unique_on_its_board UNIQUE (board_id, way),
    CONSTRAINT device_curve_is_b_c_or_d CHECK (device_curve = ANY (ARRAY['B', 'C', 'D'])),
    CONSTRAINT device_kind_is_rcbo_or_mcb CHECK (device_kind = ANY (ARRAY['RCBO', 'MCB'])),
    CONSTRAINT device_rating_is_positive CHECK (device_rating_a > 0),
    CONSTRAINT fuse_is_at_most_13_a CHECK (fuse_a BETWEEN 1 AND 13)
);

CREATE TABLE sensor (
    id BIGINT PRIMARY KEY,
    cabinet_id BIGINT NOT NULL,
    device_id VARCHAR(64) NOT NULL,        -- topic level and login
    base_name VARCHAR(120) NOT NULL,       -- SenML bn, with its closing colon
    secret_hash VARCHAR(160) NOT NULL,     -- salted hash of a random 128-bit secret, in the external broker's own form
    retired_at TIMESTAMP(6) WITH TIME ZONE,
    watches_cabinet_id BIGINT GENERATED ALWAYS AS (CASE WHEN retired_at IS NULL THEN cabinet_id END) ${stored},
    version INTEGER NOT NULL,
    CONSTRAINT sensor_watches_a_cabinet FOREIGN KEY (cabinet_id) REFERENCES cabinet (id),
    CONSTRAINT sensor_device_id_is_unique UNIQUE (device_id),
    CONSTRAINT sensor_base_name_is_unique UNIQUE (base_name),
    CONSTRAINT cabinet_has_one_sensor_in_use UNIQUE (watches_cabinet_id)
);

-- Who is told and when. The list without a site is the operator's: it hears of Lampkeeper's own faults.
CREATE TABLE call_out_list (
    id BIGINT PRIMARY KEY,
    site_id BIGINT,
    repeat_after_seconds BIGINT NOT NULL,  -- after the last turn, until the list begins again
    listed_for BIGINT GENERATED ALWAYS AS (COALESCE(site_id, 0)) ${stored},
    version INTEGER NOT NULL,
    CONSTRAINT call_out_list_belongs_to_a_site FOREIGN KEY (site_id) REFERENCES site (id),
    CONSTRAINT call_out_list_repeats_after_a_while CHECK (repeat_after_seconds > 0),
    CONSTRAINT site_has_one_call_out_list UNIQUE (listed_for)
);

CREATE TABLE call_out_step (
    list_id BIGINT NOT NULL,
    position INTEGER NOT NULL,             -- 0 is told first
    person_id BIGINT NOT NULL,
    after_seconds BIGINT NOT NULL,         -- after the step before, or after the start
    CONSTRAINT call_out_step_is_unique PRIMARY KEY (list_id, position),
    CONSTRAINT call_out_step_belongs_to_a_list FOREIGN KEY (list_id) REFERENCES call_out_list (id),
    CONSTRAINT call_out_step_names_a_person FOREIGN KEY (person_id) REFERENCES person (id),
    CONSTRAINT call_out_step_waits_zero_or_more CHECK (after_seconds >= 0)
);
