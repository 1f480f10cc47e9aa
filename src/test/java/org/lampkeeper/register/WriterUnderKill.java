package org.lampkeeper.register;

import java.sql.Connection;
import java.sql.Driver;
import java.sql.PreparedStatement;
import java.sql.SQLException;
import java.sql.Statement;
import java.util.Properties;
import java.util.concurrent.ThreadLocalRandom;

/**
 * A program of its own, to be killed: {@code WriterUnderKill URL}. Each of its threads inserts, moves and deletes rows that stand in several
 * indexes, half of them in a batch, counts up a row that all want, takes back every tenth transaction, and prints the number of each that it committed.
 */
final class WriterUnderKill {

    private static final int THREADS = 6;
    private static final int ROWS = 120;

    private WriterUnderKill() {
    }

    public static void main(String[] arguments) throws Exception {
        for (int thread = 0; thread < THREADS; thread++) {
            long first = thread * 1_000_000L;
            new Thread(() -> write(arguments[0], first)).start();
        }
    }

    static Connection open(String url) throws SQLException {
        Properties login = new Properties();
        login.setProperty("user", "lampkeeper");
        login.setProperty("password", "lampkeeper");
        Driver driver = new AnyDatabaseDriver();
        return driver.connect(url, login);
    }

    static void create(String url) throws SQLException {
        try (Connection connection = open(url); Statement statement = connection.createStatement()) {
            statement.execute("CREATE TABLE link (id BIGINT PRIMARY KEY, turn BIGINT NOT NULL, place INT NOT NULL, word VARCHAR(200) NOT NULL)");
            statement.execute("CREATE INDEX link_turn ON link (turn)");
            statement.execute("CREATE INDEX link_place ON link (place, word)");
            statement.execute("CREATE INDEX link_word ON link (word, turn)");
            statement.execute("CREATE TABLE done (turn BIGINT PRIMARY KEY, links INT NOT NULL)");
            statement.execute("CREATE TABLE counted (id INT PRIMARY KEY, turns BIGINT NOT NULL)");
            statement.execute("INSERT INTO counted VALUES (1, 0)");
        }
    }

    private static void write(String url, long first) {
        try (Connection connection = open(url)) {
            connection.setAutoCommit(false);
            for (long turn = first;; turn++) {
                links(connection, turn);
                if (turn % 10 == 7) {
                    connection.rollback();
                } else {
                    count(connection, turn);
                    connection.commit();
                    System.out.println(turn);
                }
            }
        } catch (SQLException e) {
            e.printStackTrace();
            Runtime.getRuntime().halt(1);
        }
    }

    /** As many links as there are left of this turn and the one before it, which loses half of its own again. */
    private static void links(Connection connection, long turn) throws SQLException {
        ThreadLocalRandom lot = ThreadLocalRandom.current();
        try (PreparedStatement one = connection.prepareStatement("INSERT INTO link VALUES (?, ?, ?, ?)");
                PreparedStatement insert = connection.prepareStatement("INSERT INTO link SELECT t.turn * " + ROWS
                        + " + r.x, t.turn, CAST(RAND() * 10000 AS INT), RPAD('w', 1 + CAST(RAND() * 100 AS INT), 'w')"
                        + " FROM (SELECT CAST(? AS BIGINT) AS turn) AS t, SYSTEM_RANGE(0, CAST(? AS BIGINT) - 1) AS r (x)");
                PreparedStatement move = connection.prepareStatement("UPDATE link SET place = ?, word = word || '+' WHERE turn = ?");
                PreparedStatement delete = connection.prepareStatement("DELETE FROM link WHERE turn = ? AND id >= ?");
                PreparedStatement shorten = connection.prepareStatement("UPDATE done SET links = ? WHERE turn = ?")) {
            insert.setLong(1, turn);
            insert.setInt(2, ROWS / 2);
            insert.executeUpdate();
            for (int row = ROWS / 2; row < ROWS; row++) {
                one.setLong(1, turn * ROWS + row);
                one.setLong(2, turn);
                one.setInt(3, lot.nextInt(10_000));
                one.setString(4, "w".repeat(1 + lot.nextInt(100)));
                one.addBatch();
            }
            one.executeBatch();
            move.setInt(1, lot.nextInt(10_000));
            move.setLong(2, turn - 1);
            move.executeUpdate();
            delete.setLong(1, turn - 1);
            delete.setLong(2, (turn - 1) * ROWS + ROWS / 2);
            delete.executeUpdate();
            shorten.setInt(1, ROWS / 2);
            shorten.setLong(2, turn - 1);
            shorten.executeUpdate();
        }
    }

    private static void count(Connection connection, long turn) throws SQLException {
        try (PreparedStatement done = connection.prepareStatement("INSERT INTO done VALUES (?, ?)"); Statement statement = connection.createStatement()) {
            done.setLong(1, turn);
            done.setInt(2, ROWS);
            done.executeUpdate();
            statement.executeUpdate("UPDATE counted SET turns = turns + 1 WHERE id = 1");
        }
    }
}
