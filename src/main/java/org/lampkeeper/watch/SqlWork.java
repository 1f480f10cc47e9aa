package org.lampkeeper.watch;

import java.sql.Connection;
import java.sql.SQLException;
import java.util.concurrent.atomic.AtomicReference;

import jakarta.persistence.EntityManager;

import org.hibernate.Session;

/** Work on the very connection of the current transaction, for statements with arrays and locks. */
interface SqlWork<T> {

    T on(Connection connection) throws SQLException;

    static <T> T on(EntityManager entities, SqlWork<T> work) {
        AtomicReference<T> result = new AtomicReference<>();
        entities.unwrap(Session.class).doWork(connection -> result.set(work.on(connection)));
        return result.get();
    }
}
