-- What the broker last said of the messages it dropped since its own start, and since when that has been growing; nothing grows where that is
-- empty. One row; none before the broker's first word.
CREATE TABLE broker_drops (
    id INTEGER PRIMARY KEY CHECK (id = 1),
    told BIGINT NOT NULL,
    grown_at TIMESTAMP(6) WITH TIME ZONE
);
