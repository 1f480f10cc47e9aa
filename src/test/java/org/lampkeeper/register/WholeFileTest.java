package org.lampkeeper.register;

import java.io.BufferedReader;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.sql.Connection;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.sql.Statement;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Random;
import java.util.Set;
import java.util.UUID;
import java.util.concurrent.TimeUnit;

import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

/** What the file of H2 holds at any moment while many write, so what a kill leaves, and that all of JDBC that we use goes through. */
class WholeFileTest {

    private static final int MOMENTS = Integer.getInteger("whole-file.moments", 20);
    /** Turns that were committed from one moment to the next are drawn by lot. */
    private static final int MOST_TURNS = 5;

    private Path directory;
    private String url;

    @BeforeEach
    void create() throws SQLException {
        directory = Path.of("target", "test-data", UUID.randomUUID().toString()).toAbsolutePath();
        url = url("written");
        WriterUnderKill.create(url);
    }

    private String url(String name) {
        return "jdbc:h2:file:" + directory.resolve(name) + ";MODE=PostgreSQL;DATABASE_TO_LOWER=TRUE;LOCK_TIMEOUT=10000";
    }

    /** Stopped and copied is what a kill at that moment leaves: both end between two instructions, and what was written the system has. */
    @Test
    @Timeout(value = 5, unit = TimeUnit.MINUTES, threadMode = Timeout.ThreadMode.SEPARATE_THREAD)
    void atAnyMomentEachTransactionIsInTheFileWholeOrNotAtAll() throws Exception {
        Process writer = new ProcessBuilder(Path.of(System.getProperty("java.home"), "bin", "java").toString(), "-Xmx256m", "-cp",
                System.getProperty("java.class.path"), WriterUnderKill.class.getName(), url)
                .redirectError(ProcessBuilder.Redirect.INHERIT).start();
        Random lot = new Random(20_261_127L);
        Set<Long> acknowledged = new HashSet<>();
        List<Set<Long>> byMoment = new ArrayList<>();
        try (BufferedReader said = writer.inputReader()) {
            for (int moment = 0; moment < MOMENTS; moment++) {
                for (int turn = lot.nextInt(MOST_TURNS); turn >= 0; turn--) {
                    acknowledged.add(Long.valueOf(said.readLine()));
                }
                signal("STOP", writer);
                Files.copy(directory.resolve("written.mv.db"), directory.resolve("moment-" + moment + ".mv.db"));
                byMoment.add(Set.copyOf(acknowledged));
                signal("CONT", writer);
            }
        } finally {
            writer.destroyForcibly().waitFor();
        }
        for (int moment = 0; moment < MOMENTS; moment++) {
            isWhole(moment, byMoment.get(moment));
        }
    }

    private static void signal(String name, Process process) throws IOException, InterruptedException {
        assertThat(new ProcessBuilder("kill", "-" + name, String.valueOf(process.pid())).inheritIO().start().waitFor()).isZero();
    }

    private void isWhole(int moment, Set<Long> acknowledged) throws SQLException {
        try (Connection connection = WriterUnderKill.open(url("moment-" + moment)); Statement statement = connection.createStatement()) {
            assertThat(turns(connection)).as("committed and said so, moment %d", moment).containsAll(acknowledged);
            assertThat(number(connection, "SELECT turns FROM counted")).as("the row that all want, moment %d", moment)
                    .isEqualTo(number(connection, "SELECT COUNT(*) FROM done"));
            assertThat(number(connection, "SELECT COUNT(*) FROM link l WHERE NOT EXISTS (SELECT 1 FROM done d WHERE d.turn = l.turn)"))
                    .as("of what was not committed nothing is left, moment %d", moment).isZero();
            assertThat(number(connection, "SELECT COUNT(*) FROM done d WHERE d.links <> (SELECT COUNT(*) FROM link l WHERE l.turn = d.turn)"))
                    .as("by the index of the turn all rows are there, moment %d", moment).isZero();
            long links = number(connection, "SELECT SUM(links) FROM done");
            assertThat(number(connection, "SELECT COUNT(*) FROM (SELECT id FROM link WHERE place >= 0 ORDER BY place, word) AS by_place"))
                    .as("by the index of the place all rows are there, moment %d", moment).isEqualTo(links);
            assertThat(number(connection, "SELECT COUNT(*) FROM (SELECT id FROM link WHERE word >= '' ORDER BY word, turn) AS by_word")).isEqualTo(links);
            assertThat(statement.executeUpdate("DELETE FROM link")).as("a row that an index lacks cannot be deleted, moment %d", moment).isEqualTo((int) links);
        }
    }

    @Test
    void aRowThatAnotherHoldsIsWaitedForWhileTheOtherCommits() throws Exception {
        try (Connection one = WriterUnderKill.open(url); Connection other = WriterUnderKill.open(url); Statement first = one.createStatement()) {
            one.setAutoCommit(false);
            first.executeUpdate("UPDATE counted SET turns = 10 WHERE id = 1");
            Thread waiting = new Thread(() -> addOne(other));
            waiting.start();
            try (Connection third = WriterUnderKill.open(url); Statement statement = third.createStatement()) {
                statement.executeUpdate("INSERT INTO done VALUES (1, 0)");
                assertThat(waiting.isAlive()).as("a third commits while one waits").isTrue();
            }
            one.commit();
            waiting.join();
            assertThat(number(one, "SELECT turns FROM counted")).isEqualTo(11);
        }
    }

    private static void addOne(Connection connection) {
        try (Statement statement = connection.createStatement()) {
            statement.executeUpdate("UPDATE counted SET turns = turns + 1 WHERE id = 1");
        } catch (SQLException e) {
            throw new IllegalStateException(e);
        }
    }

    @Test
    void aRowThatIsNotGivenFreeIsWaitedForAsLongAsTheUrlSays() throws Exception {
        try (Connection one = WriterUnderKill.open(url); Connection other = WriterUnderKill.open(url.replace("10000", "40"));
                Statement first = one.createStatement(); Statement second = other.createStatement()) {
            one.setAutoCommit(false);
            first.executeUpdate("UPDATE counted SET turns = 10 WHERE id = 1");
            assertThatThrownBy(() -> second.executeUpdate("UPDATE counted SET turns = 11 WHERE id = 1")).isInstanceOf(SQLException.class)
                    .hasMessageContaining("Timeout");
        }
    }

    @Test
    void aBatchOfTextsAndOneOfValuesCountTheirRows() throws Exception {
        try (Connection connection = WriterUnderKill.open(url); Statement texts = connection.createStatement();
                var values = connection.prepareStatement("UPDATE done SET links = ? WHERE turn <= ?")) {
            texts.addBatch("INSERT INTO done VALUES (1, 0)");
            texts.addBatch("INSERT INTO done VALUES (2, 0)");
            assertThat(texts.executeBatch()).containsExactly(1, 1);
            values.setInt(1, 5);
            values.setLong(2, 1);
            values.addBatch();
            values.setInt(1, 6);
            values.setLong(2, 2);
            values.addBatch();
            assertThat(values.executeBatch()).containsExactly(1, 2);
            assertThat(values.executeBatch()).as("executed once").isEmpty();
            assertThat(number(connection, "SELECT SUM(links) FROM done")).isEqualTo(12);
            assertThat(texts.getConnection()).isSameAs(connection);
        }
    }

    private static Set<Long> turns(Connection connection) throws SQLException {
        Set<Long> turns = new HashSet<>();
        try (Statement statement = connection.createStatement(); ResultSet rows = statement.executeQuery("SELECT turn FROM done")) {
            while (rows.next()) {
                turns.add(rows.getLong(1));
            }
        }
        return turns;
    }

    private static long number(Connection connection, String sql) throws SQLException {
        try (Statement statement = connection.createStatement(); ResultSet row = statement.executeQuery(sql)) {
            row.next();
            return row.getLong(1);
        }
    }
}
