package org.lampkeeper.journal;

import java.sql.Connection;
import java.sql.SQLException;
import java.time.Duration;
import java.time.Instant;
import java.util.Comparator;
import java.util.List;
import java.util.Optional;
import java.util.function.LongConsumer;

import org.lampkeeper.journal.Verdict.Broken;
import org.lampkeeper.journal.Verdict.Fault;
import org.lampkeeper.journal.Verdict.Intact;

/** One walk along the chain, page by page, while entries go on being appended and sealed. */
final class Verification {

    private static final int PAGE = 1000;

    private final Connection connection;
    private final List<Head> kept;
    private final LongConsumer reached;

    private Verification(Connection connection, List<Head> kept, LongConsumer reached) {
        this.connection = connection;
        this.reached = reached;
        this.kept = kept.stream().sorted(Comparator.comparingLong(Head::number)).toList();
    }

    static Verdict of(Connection connection, List<Head> kept, Duration unsealedLimit, LongConsumer reached, Instant now)
            throws SQLException {
        return new Verification(connection, kept, reached).walk(unsealedLimit, now);
    }

    private Verdict walk(Duration unsealedLimit, Instant now) throws SQLException {
        Head claimed = Chain.head(connection);
        Optional<Broken> broken = contradictionAt(Head.EMPTY);
        if (broken.isPresent()) {
            return broken.get();
        }
        Head last = Head.EMPTY;
        boolean claimSeen = claimed.equals(last);
        List<Chain.Row> page;
        do {
            page = Chain.sealedAfter(connection, last.number(), PAGE);
            for (Chain.Row row : page) {
                Head next = row.link().after(last);
                broken = judge(row, next).or(() -> contradictionAt(next));
                if (broken.isPresent()) {
                    return broken.get();
                }
                last = next;
                claimSeen |= claimed.equals(last);
            }
            reached.accept(last.number());
        } while (page.size() == PAGE);
        return end(last, claimed, claimSeen)
                .or(() -> unsealed(unsealedLimit, now))
                .<Verdict>map(fault -> fault)
                .orElse(new Intact(last));
    }

    private static Optional<Broken> judge(Chain.Row row, Head expected) {
        Head stands = row.head().orElseThrow();
        if (stands.number() != expected.number()) {
            return Optional.of(new Broken(Fault.MISSING, expected.number(),
                    "entry " + expected.number() + " is missing; the next one there is " + stands.number()));
        }
        if (!stands.hash().equals(expected.hash())) {
            return Optional.of(new Broken(Fault.EDITED, expected.number(), "entry " + expected.number() + " (" + row.link().kind()
                    + ") was changed after it was sealed, or the seal before it was"));
        }
        return Optional.empty();
    }

    private Optional<Broken> contradictionAt(Head place) {
        return kept.stream()
                .filter(head -> head.number() == place.number() && !head.hash().equals(place.hash()))
                .findFirst()
                .map(head -> new Broken(Fault.REBUILT, place.number(), "entry " + place.number() + " has the hash " + place.hash()
                        + " and fits its chain, but a kept head says " + head.hash() + ": the chain was written anew"));
    }

    /** The head is read before the entries and once more after them, so that a sealer at work meanwhile does not look like a forger. */
    private Optional<Broken> end(Head last, Head claimed, boolean claimSeen) throws SQLException {
        long furthest = kept.isEmpty() ? 0 : kept.get(kept.size() - 1).number();
        if (claimed.number() > last.number()) {
            return Optional.of(tailCut(last, "the journal's own head is " + claimed.number()));
        }
        if (furthest > last.number()) {
            return Optional.of(tailCut(last, "a kept head is " + furthest));
        }
        if (!claimSeen) {
            return Optional.of(new Broken(Fault.HEAD_MOVED, claimed.number(),
                    "the journal's own head " + claimed.number() + " has a hash that is not in the chain"));
        }
        long now = Chain.head(connection).number();
        return now >= last.number() ? Optional.empty() : Optional.of(new Broken(Fault.HEAD_MOVED, now,
                "the journal's own head is " + now + ", though the chain goes on to " + last.number()));
    }

    private static Broken tailCut(Head last, String evidence) {
        return new Broken(Fault.TAIL_CUT, last.number() + 1, "the chain ends at " + last.number() + ", but " + evidence
                + ": everything after " + last.number() + " was deleted");
    }

    private Optional<Broken> unsealed(Duration limit, Instant now) {
        try {
            Chain.Overdue overdue = Chain.unsealedSince(connection, now.minus(limit));
            return overdue.count() == 0 ? Optional.empty() : Optional.of(new Broken(Fault.UNSEALED, overdue.firstId(), overdue.count()
                    + " entries have stood unsealed for more than " + limit.toMinutes() + " min, the first has the id " + overdue.firstId()));
        } catch (SQLException failed) {
            throw new IllegalStateException("journal: unsealed entries could not be counted", failed);
        }
    }
}
