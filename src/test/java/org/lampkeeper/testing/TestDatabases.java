package org.lampkeeper.testing;

import java.nio.file.Path;
import java.util.UUID;
import java.util.function.Supplier;
import java.util.stream.Stream;

/** Fresh databases. For an SQL contract test use {@link BothDatabases}. */
public final class TestDatabases {

    // As in application.properties: what a test proves must hold for the default installation.
    private static final String H2_AS_INSTALLED = ";MODE=PostgreSQL;DATABASE_TO_LOWER=TRUE;DEFAULT_NULL_ORDERING=HIGH";

    private TestDatabases() {
    }

    /** A migrated database of each kind; made one by one, as the test asks for them. */
    public static Stream<TestDatabase> both() {
        return Stream.<Supplier<TestDatabase>> of(TestDatabases::migratedH2, TestPostgres::migratedDatabase).map(Supplier::get);
    }

    /** An empty database of each kind. */
    public static Stream<TestDatabase> bothEmpty() {
        return Stream.<Supplier<TestDatabase>> of(TestDatabases::emptyH2File, TestPostgres::emptyDatabase).map(Supplier::get);
    }

    /** In memory: for statements and locks, not for what survives a kill. */
    public static TestDatabase migratedH2() {
        TestDatabase made = h2("mem:" + UUID.randomUUID(), ";DB_CLOSE_DELAY=-1");
        made.migrate();
        return made;
    }

    /** A file below {@code target/}, opened with exactly the settings of the default installation. */
    public static TestDatabase emptyH2File() {
        return h2("file:" + Path.of("target", "test-data", UUID.randomUUID().toString(), "lampkeeper").toAbsolutePath(), "");
    }

    private static TestDatabase h2(String where, String more) {
        return new TestDatabase("jdbc:h2:" + where + H2_AS_INSTALLED + more, "lampkeeper", "lampkeeper");
    }
}
