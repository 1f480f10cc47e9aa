-- What happened to the supply of a site is asked for by kind, among years of everything that was written down.
CREATE INDEX journal_entry_by_site_and_kind ON journal_entry (site_id, kind, id);
