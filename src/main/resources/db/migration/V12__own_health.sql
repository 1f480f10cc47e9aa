-- How many alarms there were, by time; and which stand for long. Both are read by range.
CREATE INDEX journal_entry_by_kind_and_at ON journal_entry (kind, at);
CREATE INDEX alarm_open_since ON alarm (closed_at, since);

-- What each instance finds wrong with itself; no row while all is well. An alarm about it lasts while any instance that still says so finds it.
CREATE TABLE own_condition (
    kind VARCHAR(32) NOT NULL,
    instance VARCHAR(64) NOT NULL,
    since TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    seen_at TIMESTAMP(6) WITH TIME ZONE NOT NULL,
    CONSTRAINT own_condition_is_unique PRIMARY KEY (kind, instance)
);

-- Written only to measure how long a commit takes.
CREATE TABLE commit_probe (
    instance VARCHAR(64) PRIMARY KEY,
    at TIMESTAMP(6) WITH TIME ZONE NOT NULL
);
