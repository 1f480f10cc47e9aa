-- Of a morning on which many open, first all are opened, then asked for: this one has opened, and whom to ask is decided next.
ALTER TABLE check_due ADD COLUMN to_ask BOOLEAN DEFAULT FALSE NOT NULL;
