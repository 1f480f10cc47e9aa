package org.lampkeeper.callout;

import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

import org.lampkeeper.callout.Climb.Step;
import org.lampkeeper.callout.Decision.NotTakenOver;
import org.lampkeeper.callout.Decision.Reason;

/** What can happen to a call-out. Each carries its own rule, which has an answer for every phase. */
public sealed interface Fact {

    /** The rule for this fact; {@link Climb#on} is the way to ask. */
    Step happensTo(Climb climb, ClimbRules rules, Instant now);

    /** One of its alarms is live, and nobody has it. */
    record Needed() implements Fact {
        @Override
        public Step happensTo(Climb climb, ClimbRules rules, Instant now) {
            return switch (climb.phase()) {
                case RESTING -> climb.hasToldNobody() ? climb.begins(rules, now) : climb.goesOn(rules, List.of(new Decision.TellAgain()), now);
                case CLIMBING, LAST_RESORT, TAKEN, HANDED_ON -> climb.stays();
                case ENDED -> climb.refuses("It is over.");
            };
        }
    }

    /** It is time to tell of alarms that have joined since people were told, and that nobody has. */
    record MoreJoined() implements Fact {
        @Override
        public Step happensTo(Climb climb, ClimbRules rules, Instant now) {
            return switch (climb.phase()) {
                case CLIMBING, LAST_RESORT -> climb.tellsMore();
                case TAKEN, HANDED_ON -> climb.tellsMoreFirst(rules, now);
                case RESTING -> climb.stays();
                case ENDED -> climb.refuses("It is over.");
            };
        }
    }

    /**
     * A deadline has come.
     *
     * @param version of the climb when it was set; another than the climb's: it is stale, and nothing happens
     */
    record Due(long version) implements Fact {
        @Override
        public Step happensTo(Climb climb, ClimbRules rules, Instant now) {
            if (version != climb.version() || climb.nextAt().filter(at -> !at.isAfter(now)).isEmpty()) {
                return climb.stays();
            }
            return switch (climb.phase()) {
                case CLIMBING, LAST_RESORT -> climb.goesOn(rules, List.of(), now);
                case TAKEN -> climb.isCalledAgain(rules, now);
                case HANDED_ON -> climb.isOverdue(now) ? climb.isCalledAgain(rules, now) : climb.offerEnds(NotTakenOver.DID_NOT_ANSWER);
                case RESTING, ENDED -> climb.stays();
            };
        }
    }

    /**
     * Somebody could not be told, or nobody of a turn.
     *
     * @param personId    who it was; none for a turn that reached nobody
     * @param nobodyYet whether nobody at all has been reached so far
     */
    record NotReached(OptionalLong personId, boolean nobodyYet) implements Fact {
        @Override
        public Step happensTo(Climb climb, ClimbRules rules, Instant now) {
            return switch (climb.phase()) {
                case CLIMBING -> climb.reachesNobody(rules, nobodyYet, now);
                case HANDED_ON -> climb.isAsked(personId) ? climb.offerEnds(NotTakenOver.NOT_REACHED) : climb.stays();
                case RESTING, LAST_RESORT, TAKEN, ENDED -> climb.stays();
            };
        }
    }

    /** Somebody cannot come, or not after all: the next is told now. */
    record CannotCome(long personId) implements Fact {
        @Override
        public Step happensTo(Climb climb, ClimbRules rules, Instant now) {
            return switch (climb.phase()) {
                case CLIMBING -> climb.goesOn(rules, List.of(), now);
                case LAST_RESORT -> climb.refuses("Everybody has been told already; they are told again until somebody takes it.");
                case TAKEN, HANDED_ON -> {
                    if (climb.isHeldBy(personId)) {
                        yield climb.goesOn(rules, List.of(new Decision.CallAgain(personId, Reason.GIVEN_BACK)), now);
                    }
                    yield climb.isAsked(OptionalLong.of(personId)) ? climb.offerEnds(NotTakenOver.DECLINED)
                            : climb.refuses("Somebody has this already.");
                }
                case RESTING -> climb.refuses("Nobody has to take this now.");
                case ENDED -> climb.refuses("It is over.");
            };
        }
    }

    /**
     * Somebody takes it.
     *
     * @param arrival when they will be there, as far as they said; later than now
     */
    record Taken(long personId, Optional<Instant> arrival) implements Fact {
        @Override
        public Step happensTo(Climb climb, ClimbRules rules, Instant now) {
            if (arrival.filter(at -> !at.isAfter(now)).isPresent()) {
                return climb.refuses("That time is over; say when you will be there.");
            }
            return switch (climb.phase()) {
                case RESTING, CLIMBING, LAST_RESORT -> climb.isTaken(this, rules, now);
                case TAKEN -> climb.isHeldBy(personId) ? climb.promises(arrival) : climb.refuses("Somebody has this already.");
                case HANDED_ON -> {
                    if (climb.isAsked(OptionalLong.of(personId))) {
                        yield climb.isTaken(this, rules, now);
                    }
                    yield climb.isHeldBy(personId) ? climb.promises(arrival) : climb.refuses("Somebody has this already.");
                }
                case ENDED -> climb.refuses("It is over.");
            };
        }
    }

    /** Who has it asks another to take it over. */
    record HandedOn(long fromId, long toId) implements Fact {
        @Override
        public Step happensTo(Climb climb, ClimbRules rules, Instant now) {
            return switch (climb.phase()) {
                case TAKEN, HANDED_ON -> {
                    if (!climb.isHeldBy(fromId)) {
                        yield climb.refuses("Only the one who has it can hand it on.");
                    }
                    if (fromId == toId) {
                        yield climb.refuses("It is with this person already; choose another.");
                    }
                    yield climb.isAsked(OptionalLong.of(toId)) ? climb.stays() : climb.isHandedOn(toId, rules, now);
                }
                case CLIMBING, LAST_RESORT -> climb.refuses("Nobody has it yet: take it before you hand it on.");
                case RESTING -> climb.refuses("Nobody has to take this now.");
                case ENDED -> climb.refuses("It is over.");
            };
        }
    }

    /** How long the content has left was worked out anew, with what was heard since. */
    record ForecastMade() implements Fact {
        @Override
        public Step happensTo(Climb climb, ClimbRules rules, Instant now) {
            return switch (climb.phase()) {
                case CLIMBING -> climb.hurries(rules, now);
                case TAKEN, HANDED_ON -> climb.isForecastAnew(rules, now);
                case RESTING, LAST_RESORT, ENDED -> climb.stays();
            };
        }
    }

    /** An arrival is recorded: the promise to be there is kept, whoever it was that came. */
    record Arrived() implements Fact {
        @Override
        public Step happensTo(Climb climb, ClimbRules rules, Instant now) {
            return switch (climb.phase()) {
                case TAKEN, HANDED_ON -> climb.arrives();
                case RESTING, CLIMBING, LAST_RESORT, ENDED -> climb.stays();
            };
        }
    }

    /** None of its alarms needs anybody now: the condition is gone, or it is held back. */
    record NotNeeded() implements Fact {
        @Override
        public Step happensTo(Climb climb, ClimbRules rules, Instant now) {
            return switch (climb.phase()) {
                case CLIMBING, LAST_RESORT, TAKEN, HANDED_ON -> climb.rests(Phase.RESTING);
                case RESTING, ENDED -> climb.stays();
            };
        }
    }

    /** None of its alarms is open any more. */
    record Over() implements Fact {
        @Override
        public Step happensTo(Climb climb, ClimbRules rules, Instant now) {
            return switch (climb.phase()) {
                case RESTING, CLIMBING, LAST_RESORT, TAKEN, HANDED_ON -> climb.rests(Phase.ENDED);
                case ENDED -> climb.stays();
            };
        }
    }
}
