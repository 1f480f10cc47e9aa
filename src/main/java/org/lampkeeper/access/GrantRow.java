package org.lampkeeper.access;

import java.sql.SQLException;
import java.util.Optional;

import org.lampkeeper.access.Tables.Row;

/** A role as the table {@code role_grant} keeps it. */
final class GrantRow {

    private GrantRow() {
    }

    /** Of a row with the columns role and site_id; empty where it was joined to none. */
    static Optional<Grant> of(Row row) throws SQLException {
        Optional<String> role = row.optionalText("role");
        return role.isEmpty() ? Optional.empty() : Optional.of(new Grant(Role.valueOf(role.get()), row.optionalNumber("site_id")));
    }
}
