package org.lampkeeper.callout;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

import org.lampkeeper.callout.Decision.NotTakenOver;
import org.lampkeeper.callout.Decision.Reason;
import org.lampkeeper.callout.Decision.Tell;

/**
 * Where the telling of people about a call-out stands. The list is no part of it but read again at each step, so that a person added
 * during the night is told too.
 *
 * @param round   how often the list has been gone through to its end
 * @param told    turns given in this round
 * @param taking  who has it; kept while it rests
 * @param asked   who is asked to take it over; exactly while handed on
 * @param nextAt  when something happens if nobody does anything: exactly while calling, taken or handed on
 * @param version raised by every change; a deadline that was set before one is stale
 */
public record Climb(Phase phase, int round, int told, Optional<Taking> taking, Optional<Asked> asked, Optional<Instant> nextAt,
        long version) {

    /** Nobody was told anything yet. */
    public static final Climb NEW = new Climb(Phase.RESTING, 0, 0, Optional.empty(), Optional.empty(), Optional.empty(), 0);

    /**
     * Somebody has it.
     *
     * @param at           since when
     * @param promised     when they said they would be there; none where they did not say
     * @param callAgainAt when everybody is called again unless it is back to normal
     */
    public record Taking(long personId, Instant at, Optional<Instant> promised, boolean hasArrived, Instant callAgainAt) {

        /** When it is called again if nothing happens. */
        Instant until() {
            return promised.filter(at -> !hasArrived && at.isBefore(callAgainAt)).orElse(callAgainAt);
        }
    }

    /** Somebody is asked to take it over, and has until then to do so. */
    public record Asked(long personId, Instant until) {
    }

    /** Who is told at the next step. */
    public sealed interface Upcoming {
        /** The next turn. */
        record NextTurn(Whom whom) implements Upcoming {
        }

        /** The last resort. */
        record Everybody() implements Upcoming {
        }
    }

    /**
     * What becomes of a fact.
     *
     * @param decisions to be carried out in this order
     * @param refused   why nothing came of it, where somebody asked for something that cannot be; nothing has changed then
     */
    public record Step(Climb next, List<Decision> decisions, Optional<String> refused) {
        public Step {
            decisions = List.copyOf(decisions);
        }
    }

    public Climb {
        if (round < 0 || told < 0) {
            throw new IllegalArgumentException("climb: round " + round + ", turns told " + told + ", must be zero or more");
        }
        if (phase.hasDeadline() != nextAt.isPresent()) {
            throw new IllegalArgumentException("climb " + phase + ": next at " + nextAt + ", must be there exactly while something comes due");
        }
        if ((phase == Phase.HANDED_ON) != asked.isPresent() || (phase.isTaken() && taking.isEmpty()) || (phase.isCalling() && taking.isPresent())) {
            throw new IllegalArgumentException("climb " + phase + ": taken by " + taking + ", handed on to " + asked);
        }
    }

    /** What happens now that this is so. */
    public Step on(Fact fact, ClimbRules rules, Instant now) {
        return fact.happensTo(this, rules, now);
    }

    /** Who is told next if nobody takes it; none while nobody is going to be told. */
    public Optional<Upcoming> upcoming(CallOutList list) {
        return switch (phase) {
            case LAST_RESORT -> Optional.of(new Upcoming.Everybody());
            case CLIMBING -> {
                int size = list.turns().size();
                boolean isRoundOver = told >= size;
                if (size == 0 || (isRoundOver && round + 1 >= list.rounds() && list.lastResort())) {
                    yield list.lastResort() ? Optional.of(new Upcoming.Everybody()) : Optional.empty();
                }
                yield Optional.of(new Upcoming.NextTurn(list.turns().get(isRoundOver ? 0 : told).whom()));
            }
            case RESTING, TAKEN, HANDED_ON, ENDED -> Optional.empty();
        };
    }

    boolean hasToldNobody() {
        return round == 0 && told == 0;
    }

    boolean isHeldBy(long personId) {
        return taking.filter(it -> it.personId() == personId).isPresent();
    }

    boolean isAsked(OptionalLong personId) {
        return personId.isPresent() && asked.filter(it -> it.personId() == personId.getAsLong()).isPresent();
    }

    /** Whether whoever has it should have been there, or done with it, by now. */
    boolean isOverdue(Instant now) {
        return taking.filter(it -> !it.until().isAfter(now)).isPresent();
    }

    Step stays() {
        return new Step(this, List.of(), Optional.empty());
    }

    Step refuses(String why) {
        return new Step(this, List.of(), Optional.of(why));
    }

    /** The first turn of the first round may have time. */
    Step begins(ClimbRules rules, Instant now) {
        Duration first = rules.list().turns().stream().findFirst().map(Turn::after).orElse(Duration.ZERO);
        return first.isZero() ? goesOn(rules, List.of(), now)
                : done(calling(Phase.CLIMBING, 0, 0, now.plus(rules.paced(first, rest(rules.list(), 0), false, 0, now))), List.of());
    }

    /** The next turn, and those of the same round that follow it without delay; after the last round the last resort. */
    Step goesOn(ClimbRules rules, List<Decision> before, Instant now) {
        CallOutList list = rules.list();
        List<Decision> decisions = new ArrayList<>(before);
        if (list.lastResort() && (list.turns().isEmpty() || phase == Phase.LAST_RESORT || isListExhausted(list))) {
            decisions.add(new Decision.TellEverybody());
            return done(calling(Phase.LAST_RESORT, round, told, now.plus(list.repeatAfter())), decisions);
        }
        if (list.turns().isEmpty()) {
            decisions.add(new Decision.NobodyToTell());
            return done(calling(Phase.CLIMBING, round, told, now.plus(ClimbRules.NOBODY_RETRY)), decisions);
        }
        boolean isRoundOver = told >= list.turns().size();
        int first = isRoundOver ? 0 : told;
        int end = first + 1;
        while (end < list.turns().size() && list.turns().get(end).after().isZero()) {
            end++;
        }
        decisions.add(new Tell(list.turns().subList(first, end).stream().map(Turn::whom).distinct().toList()));
        boolean isLast = end == list.turns().size();
        Duration wait = isLast ? list.repeatAfter() : list.turns().get(end).after();
        int in = isRoundOver ? round + 1 : round;
        return done(calling(Phase.CLIMBING, in, end, now.plus(rules.paced(wait, rest(list, end), isLast, in, now))), decisions);
    }

    /** From the turn {@code next} to the last one, as the list says it; after the last, until the next round. */
    private static Duration rest(CallOutList list, int next) {
        return next >= list.turns().size() ? list.repeatAfter()
                : list.turns().subList(next, list.turns().size()).stream().map(Turn::after).reduce(Duration.ZERO, Duration::plus);
    }

    /** The next is told sooner where there is less time than was thought; never later than it was said. */
    Step hurries(ClimbRules rules, Instant now) {
        Instant before = nextAt.orElseThrow();
        if (!before.isAfter(now) || told > rules.list().turns().size() || rules.coldAt().isEmpty()) {
            return stays();
        }
        boolean isLast = told == rules.list().turns().size();
        Duration wait = Duration.between(now, before);
        Duration rest = isLast ? wait : wait.plus(rest(rules.list(), told).minus(rules.list().turns().get(told).after()));
        Instant sooner = now.plus(rules.paced(wait, rest, isLast, round, now));
        return sooner.isBefore(before) ? done(calling(phase, round, told, sooner), List.of()) : stays();
    }

    /** Whoever has it is called again in time, now that the forecast is another. */
    Step isForecastAnew(ClimbRules rules, Instant now) {
        Taking before = taking.orElseThrow();
        Instant again = rules.callAgainAt(before.at(), before.callAgainAt(), now);
        return !before.callAgainAt().isAfter(now) || again.equals(before.callAgainAt()) ? stays()
                : done(held(new Taking(before.personId(), before.at(), before.promised(), before.hasArrived(), again), asked), List.of());
    }

    private boolean isListExhausted(CallOutList list) {
        return told >= list.turns().size() && round + 1 >= list.rounds();
    }

    /**
     * Waiting for somebody who cannot be told would only lose time. Only in the first round: when nobody of them can be reached, hurrying
     * through later ones would spin. When nobody at all was reached, the last resort need not wait.
     */
    Step reachesNobody(ClimbRules rules, boolean nobodyYet, Instant now) {
        if (round > 0) {
            return stays();
        }
        if (told < rules.list().turns().size()) {
            return goesOn(rules, List.of(), now);
        }
        boolean isUseless = nobodyYet && rules.list().lastResort();
        return isUseless ? done(calling(Phase.LAST_RESORT, round, told, now.plus(rules.list().repeatAfter())),
                List.of(new Decision.TellEverybody())) : stays();
    }

    Step isTaken(Fact.Taken by, ClimbRules rules, Instant now) {
        Taking newTaking = new Taking(by.personId(), now, by.arrival(), false, rules.callAgainAt(now));
        return done(held(newTaking, Optional.empty()), List.of(new Decision.TellTaken(by.personId())));
    }

    /** Says again, or for the first time, when they will be there; nothing where they say nothing new. */
    Step promises(Optional<Instant> arrival) {
        Taking before = taking.orElseThrow();
        if (arrival.isEmpty() || arrival.equals(before.promised())) {
            return stays();
        }
        return done(held(new Taking(before.personId(), before.at(), arrival, before.hasArrived(), before.callAgainAt()), asked), List.of());
    }

    Step arrives() {
        Taking before = taking.orElseThrow();
        return before.hasArrived() ? stays()
                : done(held(new Taking(before.personId(), before.at(), before.promised(), true, before.callAgainAt()), asked), List.of());
    }

    Step isHandedOn(long toId, ClimbRules rules, Instant now) {
        Taking holder = taking.orElseThrow();
        return done(held(holder, Optional.of(new Asked(toId, now.plus(rules.offerFor())))),
                List.of(new Decision.Ask(holder.personId(), toId)));
    }

    /** Back to the one who has it. */
    Step offerEnds(NotTakenOver why) {
        Taking holder = taking.orElseThrow();
        return done(held(holder, Optional.empty()),
                List.of(new Decision.TellStillYours(holder.personId(), asked.orElseThrow().personId(), why)));
    }

    /** From the beginning of the list: what it was climbed to before helps nobody now. */
    Step isCalledAgain(ClimbRules rules, Instant now) {
        Taking holder = taking.orElseThrow();
        boolean isLate = holder.promised().filter(at -> !holder.hasArrived() && !at.isAfter(now)).isPresent();
        boolean isCold = rules.isColdSoon(now);
        Reason reason = isLate ? Reason.NOT_ARRIVED : isCold ? Reason.COLD : Reason.NOT_BACK_TO_NORMAL;
        Climb again = new Climb(Phase.RESTING, 0, 0, Optional.empty(), Optional.empty(), Optional.empty(), version);
        return again.goesOn(rules, List.of(new Decision.CallAgain(holder.personId(), reason)), now);
    }

    Step tellsMore() {
        return done(this, List.of(new Decision.TellMore()));
    }

    /** Whoever had it has the time of a turn to take what has joined too; then the list is told from its beginning. */
    Step tellsMoreFirst(ClimbRules rules, Instant now) {
        return done(calling(Phase.CLIMBING, 0, 0, now.plus(rules.turnLength())), List.of(new Decision.TellMoreFirst(taking.orElseThrow().personId())));
    }

    Step rests(Phase in) {
        return done(new Climb(in, round, told, taking, Optional.empty(), Optional.empty(), version + 1), List.of());
    }

    private Climb calling(Phase how, int newRound, int newTold, Instant next) {
        return new Climb(how, newRound, newTold, Optional.empty(), Optional.empty(), Optional.of(next), version + 1);
    }

    private Climb held(Taking by, Optional<Asked> newAsked) {
        Instant until = newAsked.map(Asked::until).filter(by.until()::isAfter).orElse(by.until());
        return new Climb(newAsked.isPresent() ? Phase.HANDED_ON : Phase.TAKEN, round, told, Optional.of(by), newAsked, Optional.of(until),
                version + 1);
    }

    private static Step done(Climb next, List<Decision> decisions) {
        return new Step(next, decisions, Optional.empty());
    }
}
