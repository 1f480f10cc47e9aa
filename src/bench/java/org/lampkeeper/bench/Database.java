package org.lampkeeper.bench;

import java.io.IOException;
import java.nio.file.Path;
import java.sql.SQLException;

import io.zonky.test.db.postgres.embedded.EmbeddedPostgres;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.testing.TestDatabase;
import org.lampkeeper.testing.TestPostgres;

/** The two databases, each as durable as an installation would have it. */
public enum Database {
    H2("H2"), POSTGRESQL("PostgreSQL 17");

    private static final String H2_SETTINGS = ";MODE=PostgreSQL;DATABASE_TO_LOWER=TRUE;DEFAULT_NULL_ORDERING=HIGH";

    private final String title;

    Database(String title) {
        this.title = title;
    }

    public String title() {
        return title;
    }

    /** A place for databases of this kind; for PostgreSQL a server that calls fsync, which closing stops. */
    public Place open(Path folder) throws IOException {
        return new Place(this, folder, this == POSTGRESQL ? TestPostgres.startDurable() : null);
    }

    /** Where databases are made. */
    public static final class Place implements AutoCloseable {
        private final Database kind;
        private final Path folder;
        private final @Nullable EmbeddedPostgres server;

        private Place(Database kind, Path folder, @Nullable EmbeddedPostgres server) {
            this.kind = kind;
            this.folder = folder;
            this.server = server;
        }

        /** A database without a table; {@code name} must be new here. */
        public TestDatabase empty(String name) throws SQLException {
            if (server == null) {
                return new TestDatabase("jdbc:h2:file:" + folder.resolve(name) + H2_SETTINGS, "lampkeeper", "lampkeeper");
            }
            TestDatabase root = TestPostgres.of(server);
            root.run("CREATE DATABASE " + name);
            return new TestDatabase(root.url().replaceAll("/postgres$", "/" + name), root.user(), root.password());
        }

        public Database kind() {
            return kind;
        }

        @Override
        public void close() throws IOException {
            if (server != null) {
                server.close();
            }
        }
    }
}
