package org.lampkeeper.alarm;

import java.time.Duration;
import java.time.Instant;
import java.util.Comparator;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

/** Which losses are told together: those of one site that follow each other closely, first of all those that share a board. */
public final class Grouping {

    private Grouping() {
    }

    /** Where the supply of a cabinet comes from: its board, and the site at whose intake that board hangs. */
    public record Origin(long boardId, long intakeSiteId) {
    }

    /** What all of a call-out have in common; neither where they share no more than their site. */
    public record Shared(OptionalLong boardId, OptionalLong intakeSiteId) {

        /** Of a single one. */
        public static Shared of(Origin origin) {
            return new Shared(OptionalLong.of(origin.boardId()), OptionalLong.of(origin.intakeSiteId()));
        }

        /** What is still in common once this one has joined. */
        public Shared with(Origin origin) {
            return new Shared(hasBoard(origin) ? boardId : OptionalLong.empty(), hasIntake(origin) ? intakeSiteId : OptionalLong.empty());
        }

        boolean hasBoard(Origin origin) {
            return boardId.isPresent() && boardId.getAsLong() == origin.boardId();
        }

        boolean hasIntake(Origin origin) {
            return intakeSiteId.isPresent() && intakeSiteId.getAsLong() == origin.intakeSiteId();
        }

        private int nearness(Origin origin) {
            return hasBoard(origin) ? 0 : hasIntake(origin) ? 1 : 2;
        }
    }

    /** A call-out of the site that is not over. {@code joinedAt}: when the newest loss came to it. */
    public record Open(long callOutId, Instant joinedAt, Shared shared) {
    }

    /**
     * The call-out that a loss joins: of those whose newest loss is at most {@code within} old, the one that shares most with it (its
     * board, else the intake of its board, else the site), and of equals the newest.
     *
     * @param open those of the same site
     * @return empty where it needs one of its own
     */
    public static Optional<Open> joined(Origin lost, List<Open> open, Duration within, Instant now) {
        return open.stream().filter(each -> !each.joinedAt().isBefore(now.minus(within)))
                .min(Comparator.comparingInt((Open each) -> each.shared().nearness(lost))
                        .thenComparing(Open::joinedAt, Comparator.reverseOrder()).thenComparing(Open::callOutId));
    }
}
