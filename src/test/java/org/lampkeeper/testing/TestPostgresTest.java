package org.lampkeeper.testing;

import java.io.IOException;
import java.sql.SQLException;

import io.zonky.test.db.postgres.embedded.EmbeddedPostgres;
import org.junit.jupiter.api.Test;

import static org.assertj.core.api.Assertions.assertThat;

class TestPostgresTest {

    @Test
    void durableServerCallsFsyncBeforeItAnswersACommit() throws IOException, SQLException {
        try (EmbeddedPostgres server = TestPostgres.startDurable()) {
            TestDatabase database = TestPostgres.of(server);

            assertThat(database.ask("SHOW fsync")).isEqualTo("on");
            assertThat(database.ask("SHOW synchronous_commit")).isEqualTo("on");
            assertThat((String) database.ask("SHOW server_version")).startsWith("17.");
        }
    }

    @Test
    void eachCallerHasADatabaseOfItsOwn() throws SQLException {
        TestDatabase first = TestPostgres.migratedDatabase();
        TestDatabase second = TestPostgres.migratedDatabase();

        first.run("INSERT INTO site_watch (site_id, version) VALUES (7, 0)");

        assertThat(second.ask("SELECT COUNT(*) FROM site_watch WHERE site_id = 7")).isEqualTo(0L);
    }
}
