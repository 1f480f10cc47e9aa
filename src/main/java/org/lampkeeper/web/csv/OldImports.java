package org.lampkeeper.web.csv;

import java.sql.Connection;
import java.sql.SQLException;
import java.time.Instant;

import jakarta.enterprise.context.ApplicationScoped;

import org.lampkeeper.watch.Retained;

/** Files that were sent. Each further file forgets old ones too; here they go where no further one comes. */
@ApplicationScoped
class OldImports implements Retained {

    @Override
    public String what() {
        return "imports";
    }

    @Override
    public int removeOld(Connection connection, Instant now, int most) throws SQLException {
        return ImportTable.forgetBefore(connection, now.minus(Imports.KEPT), most);
    }
}
