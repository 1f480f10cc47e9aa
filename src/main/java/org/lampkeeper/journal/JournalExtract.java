package org.lampkeeper.journal;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.time.Instant;
import java.time.OffsetDateTime;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.function.Consumer;
import java.util.function.Predicate;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

import javax.sql.DataSource;

import jakarta.enterprise.context.ApplicationScoped;

/** A stretch of the chain for somebody outside: what they may read, and of the rest what it takes to follow the chain past it. */
@ApplicationScoped
public class JournalExtract {

    private static final int PAGE = 1000;

    /** By journal_entry_by_kind_and_at. Ours: of so many mails one is enough, unless the sealer was away for all of them. */
    private static final String TOLD_BEFORE = """
            SELECT at, body FROM journal_entry WHERE kind = 'message-sent' AND at <= ? ORDER BY at DESC, id DESC LIMIT 200""";
    private static final String TOLD_AFTER = """
            SELECT at, body FROM journal_entry WHERE kind = 'message-sent' AND at >= ? ORDER BY at, id LIMIT 200""";

    private static final String AT = "SELECT seal_hash FROM journal_entry WHERE seal_number = ?";

    /** By journal_entry_by_kind and journal_entry_by_cabinet. */
    private static final String LAST_OF = """
            SELECT id, at, kind, site_id, cabinet_id, alarm_id, body, seal_number, seal_hash, seal_salt
              FROM journal_entry WHERE kind = ? AND cabinet_id = ? AND body LIKE ? ORDER BY id DESC LIMIT 1""";

    private static final Pattern NUMBER = Pattern.compile("\"journal-number\":(\\d{1,18})[,}]");
    private static final Pattern MESSAGE = Pattern.compile("\"message\":\"([^\"\\\\]{1,64})\"");

    private final DataSource database;

    JournalExtract(DataSource database) {
        this.database = database;
    }

    /**
     * One entry in its place.
     *
     * @param head   its number, and the hash over it and everything before it
     * @param digest what stands for it in the chain
     * @param says   what it says; empty where the reader may not know
     */
    public record Line(Head head, String digest, Optional<Says> says) {
    }

    /** @param salt as in docs/journal.md: without it the digest cannot be worked out */
    public record Says(Instant at, String kind, OptionalLong site, OptionalLong cabinet, OptionalLong alarm, String body, String salt) {
    }

    /** A head that left this installation with a mail, at that moment; {@code message} is the key of the message, which its Message-ID begins with. */
    public record Told(Head head, Instant at, String message) {
    }

    /** The last head that a mail carried away before this moment, and that is not behind the place {@code number}; empty where there was none. */
    public Optional<Told> toldBefore(Instant moment, long number) {
        return in(connection -> told(connection, TOLD_BEFORE, moment, 0, number));
    }

    /** The first head that a mail carried away after this moment, and that is not before the place {@code number}; empty where none has yet. */
    public Optional<Told> toldAfter(Instant moment, long number) {
        return in(connection -> told(connection, TOLD_AFTER, moment, number, Long.MAX_VALUE));
    }

    /** The chain's head at this place. @throws IllegalArgumentException when there is no such place */
    public Head at(long number) {
        return in(connection -> head(connection, number)).orElseThrow(() -> new IllegalArgumentException("the journal has no entry " + number));
    }

    /**
     * Every entry after the place {@code from} up to {@code until}, in order, a page at a time.
     *
     * @return the first place that does not follow from what is before it; empty when all do
     */
    public Optional<Long> read(Head from, Head until, Predicate<Says> mayBeRead, Consumer<Line> reader) {
        return in(connection -> {
            Head last = from;
            List<Chain.Row> page = Chain.sealedAfter(connection, last.number(), PAGE);
            while (last.number() < until.number()) {
                if (page.isEmpty()) {
                    return Optional.of(last.number() + 1);
                }
                for (Chain.Row row : page) {
                    Line line = line(row);
                    if (!Link.after(last, line.digest()).equals(line.head())) {
                        return Optional.of(last.number() + 1);
                    }
                    last = line.head();
                    reader.accept(line.says().filter(mayBeRead).isPresent() ? line : new Line(last, line.digest(), Optional.empty()));
                    if (last.number() == until.number()) {
                        return last.equals(until) ? Optional.empty() : Optional.of(last.number());
                    }
                }
                page = Chain.sealedAfter(connection, last.number(), PAGE);
            }
            return Optional.empty();
        });
    }

    /** The newest sealed entry of this kind about a cabinet whose body has these letters in it. */
    public Optional<Line> sealed(String kind, long cabinetId, String letters) {
        return in(connection -> {
            try (PreparedStatement select = connection.prepareStatement(LAST_OF)) {
                select.setString(1, kind);
                select.setLong(2, cabinetId);
                select.setString(3, "%" + letters + "%");
                return Chain.rows(select).stream().filter(row -> row.head().isPresent()).map(JournalExtract::line).findFirst();
            }
        });
    }

    private static Line line(Chain.Row row) {
        Link link = row.link();
        return new Line(row.head().orElseThrow(), link.digest(),
                Optional.of(new Says(link.at(), link.kind(), link.site(), link.cabinet(), link.alarm(), link.body(), link.salt())));
    }

    private static Optional<Told> told(Connection connection, String sql, Instant moment, long least, long most) throws SQLException {
        List<Told> found = new ArrayList<>();
        try (PreparedStatement select = connection.prepareStatement(sql)) {
            select.setObject(1, moment.atOffset(ZoneOffset.UTC));
            try (ResultSet row = select.executeQuery()) {
                while (found.isEmpty() && row.next()) {
                    String body = row.getString(2);
                    Optional<Long> number = within(NUMBER, body).map(Long::valueOf).filter(it -> it >= least && it <= most);
                    Optional<Head> head = number.isPresent() ? head(connection, number.get()) : Optional.empty();
                    Instant at = row.getObject(1, OffsetDateTime.class).toInstant();
                    head.ifPresent(it -> found.add(new Told(it, at, within(MESSAGE, body).orElse(""))));
                }
            }
        }
        return found.stream().findFirst();
    }

    private static Optional<String> within(Pattern pattern, String body) {
        Matcher found = pattern.matcher(body);
        return found.find() ? Optional.of(found.group(1)) : Optional.empty();
    }

    private static Optional<Head> head(Connection connection, long number) throws SQLException {
        if (number == 0) {
            return Optional.of(Head.EMPTY);
        }
        try (PreparedStatement select = connection.prepareStatement(AT)) {
            select.setLong(1, number);
            try (ResultSet row = select.executeQuery()) {
                return row.next() ? Optional.of(new Head(number, row.getString(1))) : Optional.empty();
            }
        }
    }

    private interface Reading<T> {
        Optional<T> from(Connection connection) throws SQLException;
    }

    private <T> Optional<T> in(Reading<T> reading) {
        try (Connection connection = database.getConnection()) {
            return reading.from(connection);
        } catch (SQLException failed) {
            throw new IllegalStateException("the journal could not be read", failed);
        }
    }
}
