package org.lampkeeper.supply;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

import org.lampkeeper.supply.Finding.ClockJudged;
import org.lampkeeper.supply.Finding.DipEnded;
import org.lampkeeper.supply.Finding.DoubtfulReport;
import org.lampkeeper.supply.Finding.FirstHeard;
import org.lampkeeper.supply.Finding.HeardAgain;
import org.lampkeeper.supply.Finding.LateReport;
import org.lampkeeper.supply.Finding.LinkCameUp;
import org.lampkeeper.supply.Finding.LinkWentDown;
import org.lampkeeper.supply.Finding.LossConfirmed;
import org.lampkeeper.supply.Finding.LossSuspected;
import org.lampkeeper.supply.Finding.SupplyReturned;
import org.lampkeeper.supply.Finding.Unsteady;
import org.lampkeeper.supply.Finding.WentSilent;

/**
 * All that is remembered of one sensor, and the whole rule of what a new fact makes of it. Every method returns the next state and
 * what was found; none of them looks at a clock.
 *
 * @param reading     what the newest report said; {@code UNKNOWN} when never heard, silent, or the link is down
 * @param observedAt  of the newest report
 * @param seq         of the newest report
 * @param silentAfter the last moment at which the reading may still be believed
 * @param suspectedAt when the loss under confirmation was first observed
 * @param confirmAt   when that loss becomes a confirmed one; present exactly with {@code suspectedAt}
 * @param lostSince   a confirmed loss, live until a fresh and clean report says healthy
 * @param quietSince  silent or its link down since; present until the next report
 * @param silent      silence has been judged; stays until the next report
 * @param linkDown    the broker said that the sensor's connection broke
 * @param clockOdd    the last report's time could not be used
 * @param dips        short losses counted since {@code dipsSince}
 */
public record SensorState(
        Reading reading,
        Optional<Instant> observedAt,
        OptionalLong seq,
        Optional<Instant> silentAfter,
        Optional<Instant> suspectedAt,
        Optional<Instant> confirmAt,
        Optional<Instant> lostSince,
        Optional<Instant> quietSince,
        boolean silent,
        boolean linkDown,
        boolean clockOdd,
        int dips,
        Optional<Instant> dipsSince) {

    /** A sensor that has not reported yet. */
    public static final SensorState UNHEARD = new SensorState(Reading.UNKNOWN, Optional.empty(), OptionalLong.empty(), Optional.empty(),
            Optional.empty(), Optional.empty(), Optional.empty(), Optional.empty(), false, false, false, 0, Optional.empty());

    public SensorState {
        if (suspectedAt.isPresent() != confirmAt.isPresent()) {
            throw new IllegalArgumentException("a suspected loss and the time of its confirmation go together");
        }
        if (suspectedAt.isPresent() && lostSince.isPresent()) {
            throw new IllegalArgumentException("a loss is suspected or confirmed, not both");
        }
    }

    /** The next state and what was found on the way to it, in order. */
    public record Step(SensorState next, List<Finding> findings) {
        public Step {
            findings = List.copyOf(findings);
        }
    }

    /**
     * Whether a further report of the same reading, newer and clean, would only move times: nothing is pending that such a report could
     * start, end or contradict. The set-based path for steady reports relies on it.
     */
    public boolean isSettled() {
        boolean agrees = (reading == Reading.LOST && lostSince.isPresent()) || (reading == Reading.HEALTHY && lostSince.isEmpty());
        return agrees && suspectedAt.isEmpty() && quietSince.isEmpty() && !silent && !linkDown && !clockOdd;
    }

    /** The reading as it may be shown at {@code now}; a report exactly at its limit would still be in time. */
    public Reading readingAt(Instant now) {
        return silentAfter.filter(limit -> now.isAfter(limit)).isPresent() ? Reading.UNKNOWN : reading;
    }

    /** Whether a silence that has not been judged yet is there at {@code now}. */
    public boolean isOverdue(Instant now) {
        return !silent && silentAfter.filter(limit -> now.isAfter(limit)).isPresent();
    }

    /** A report was heard. Order is observed time, then the sensor's counter, then arrival. */
    public Step heard(Report report, Tolerance tolerance, Instant now) {
        int order = orderOf(report);
        if (order > 0) {
            return newer(report, tolerance, now);
        }
        // A time in doubt cannot make a loss late: a clock that was ahead before it went odd would hide the loss behind its last report.
        if (order == 0 || (!report.supplied() && !report.isClean())) {
            return sameMoment(report, tolerance, now);
        }
        return new Step(this, List.of(new LateReport(report.observedAt(), report.supplied())));
    }

    /** The time of confirmation has come: a loss still suspected becomes a confirmed one. Before that time, or without one, nothing. */
    public Step confirmationDue(Instant now) {
        if (confirmAt.isEmpty() || now.isBefore(confirmAt.get())) {
            return new Step(this, List.of());
        }
        Instant since = suspectedAt.orElseThrow();
        // A loss that nobody could date left the reading alone; from now on it must not be shown as healthy.
        Draft next = draft().reading(reading == Reading.HEALTHY ? Reading.LOST : reading);
        return new Step(next.suspicion(Optional.empty(), Optional.empty()).lostSince(Optional.of(since)).done(),
                List.of(new LossConfirmed(since)));
    }

    /** Time passed: a promise that was broken makes the reading unknown. A loss, suspected or confirmed, stays what it is. */
    public Step silenceDue(Instant now) {
        if (!isOverdue(now)) {
            return new Step(this, List.of());
        }
        Instant since = quietSince.orElse(silentAfter.orElseThrow());
        Draft next = draft().reading(Reading.UNKNOWN);
        next.quietSince = Optional.of(since);
        next.silent = true;
        return new Step(next.done(), List.of(new WentSilent(observedAt.orElse(since), since)));
    }

    /** The broker said that the sensor's connection broke: nobody knows now, and silence counts from here. */
    public Step linkDown(Tolerance tolerance, Instant now) {
        if (linkDown) {
            return new Step(this, List.of());
        }
        Draft next = draft().reading(Reading.UNKNOWN);
        next.linkDown = true;
        if (observedAt.isPresent()) {
            Instant limit = now.plus(tolerance.linkGrace());
            next.silentAfter = Optional.of(silentAfter.filter(limit::isAfter).orElse(limit));
            next.quietSince = Optional.of(quietSince.orElse(now));
        }
        return new Step(next.done(), List.of(new LinkWentDown(now)));
    }

    /** The sensor is connected again. It has not said anything about its supply yet. */
    public Step linkUp(Instant now) {
        if (!linkDown) {
            return new Step(this, List.of());
        }
        Draft next = draft();
        next.linkDown = false;
        return new Step(next.done(), List.of(new LinkCameUp(now)));
    }

    /** Positive for a report after the newest one, negative for one before it, zero where nothing orders them. */
    private int orderOf(Report report) {
        if (observedAt.isEmpty()) {
            return 1;
        }
        int byTime = report.observedAt().compareTo(observedAt.get());
        if (byTime != 0 || report.seq().isEmpty() || seq.isEmpty()) {
            return byTime;
        }
        return Long.compare(report.seq().getAsLong(), seq.getAsLong());
    }

    /** Nothing says that it came after the newest report: it may report a loss, it may not end one. */
    private Step sameMoment(Report report, Tolerance tolerance, Instant now) {
        boolean lossKnown = lossAt().isPresent();
        if (!report.isAgeKnown()) {
            return undated(report, lossKnown, tolerance, now);
        }
        if (report.supplied()) {
            boolean repeat = !lossKnown || (report.seq().isPresent() && report.seq().equals(seq));
            return new Step(this, repeat ? List.of() : List.of(new DoubtfulReport(report.observedAt(), true)));
        }
        if (lossKnown) {
            return new Step(this, List.of());
        }
        Draft next = draft().reading(isQuiet() ? reading : Reading.LOST);
        if (report.observedAt().equals(observedAt.orElseThrow())) {
            // No counter of this moment can be trusted to come after such a loss: a repeat of the healthy report would end it.
            next.seq = OptionalLong.empty();
        }
        return suspect(next, report, doubtfulConfirm(tolerance), new ArrayList<>(), now);
    }

    private Step newer(Report report, Tolerance tolerance, Instant now) {
        List<Finding> found = new ArrayList<>();
        boolean lossKnown = lossAt().isPresent();
        if (!report.isAgeKnown()) {
            return undated(report, lossKnown, tolerance, now);
        }
        Draft next = draft();
        boolean odd = !report.isClean();
        if (odd != clockOdd) {
            next.clockOdd = odd;
            found.add(new ClockJudged(odd));
        }
        if (report.supplied() && odd && lossKnown) {
            if (!isQuiet()) {
                next.silentAfter = later(silentAfter, limitOf(report, tolerance));
            }
            found.add(new DoubtfulReport(report.observedAt(), true));
            return new Step(next.done(), found);
        }

        Instant limit = limitOf(report, tolerance);
        boolean fresh = !now.isAfter(limit);
        // What was sent before the link broke says nothing about now, however fresh: it may have waited behind the broken link.
        boolean sentBeforeLinkBroke = linkDown && quietSince.filter(report.observedAt()::isBefore).isPresent();
        boolean current = fresh && !sentBeforeLinkBroke;
        next.observedAt = Optional.of(report.observedAt());
        next.seq = report.seq();
        next.silentAfter = Optional.of(sentBeforeLinkBroke ? silentAfter.filter(limit::isAfter).orElse(limit) : limit);
        if (current) {
            next.linkDown = false;
            next.silent = false;
            next.quietSince = Optional.empty();
        }
        if (observedAt.isEmpty()) {
            found.add(new FirstHeard(report.observedAt()));
        } else if (current && quietSince.isPresent()) {
            found.add(new HeardAgain(quietSince.get(), report.observedAt()));
        }

        // Still quiet: an old report that comes late from a backlog does not tell how it is now.
        boolean quiet = next.quietSince.isPresent() || next.linkDown;
        if (!report.supplied()) {
            next.reading(quiet ? Reading.UNKNOWN : Reading.LOST);
            if (lossKnown) {
                return new Step(next.done(), found);
            }
            Duration wait = odd ? doubtfulConfirm(tolerance) : tolerance.confirm();
            return suspect(next, report, wait, found, now);
        }
        if ((lossKnown && !isAfterLoss(report)) || (lostSince.isPresent() && !fresh)) {
            if (lossAt().equals(next.observedAt)) {
                // As in sameMoment: a counter does not order this moment.
                next.seq = OptionalLong.empty();
            }
            found.add(new DoubtfulReport(report.observedAt(), true));
            return new Step(next.done(), found);
        }
        next.reading(quiet ? Reading.UNKNOWN : Reading.HEALTHY);
        if (lostSince.isPresent()) {
            found.add(new SupplyReturned(lostSince.get(), report.observedAt()));
            next.lostSince(Optional.empty());
        } else if (suspectedAt.isPresent()) {
            endDip(next, report.observedAt(), tolerance, found);
        }
        return new Step(next.done(), found);
    }

    /**
     * Whether a report newer than the newest also came after the loss. Only a loss that nobody could date can lie after the newest
     * report: it did not move it.
     */
    private boolean isAfterLoss(Report report) {
        Instant loss = lossAt().orElseThrow();
        boolean lossIsLater = observedAt.filter(newest -> !loss.isAfter(newest)).isEmpty();
        return !lossIsLater || report.observedAt().isAfter(loss);
    }

    private Optional<Instant> lossAt() {
        return suspectedAt.or(() -> lostSince);
    }

    /** Nobody can say how old it is: it may start a confirmation, and it moves nothing else. */
    private Step undated(Report report, boolean lossKnown, Tolerance tolerance, Instant now) {
        if (report.supplied() || lossKnown) {
            return new Step(this, List.of(new DoubtfulReport(report.observedAt(), report.supplied())));
        }
        return suspect(draft(), report, doubtfulConfirm(tolerance), new ArrayList<>(), now);
    }

    private static Step suspect(Draft next, Report report, Duration wait, List<Finding> found, Instant now) {
        // From the receive time: a dip that waited in a queue behind us must get the chance to end before anybody is woken. A wait of zero is
        // due at once, but apart from taking reports in: what a loss sets in motion must not hold up the reports behind it.
        Instant confirmAt = now.plus(wait);
        next.suspicion(Optional.of(report.observedAt()), Optional.of(confirmAt));
        found.add(new LossSuspected(report.observedAt(), confirmAt));
        return new Step(next.done(), found);
    }

    private void endDip(Draft next, Instant to, Tolerance tolerance, List<Finding> found) {
        Instant from = suspectedAt.orElseThrow();
        found.add(new DipEnded(from, to));
        next.suspicion(Optional.empty(), Optional.empty());
        boolean sameWindow = dipsSince.filter(since -> from.isBefore(since.plus(tolerance.dipsWindow()))).isPresent();
        next.dips = sameWindow ? dips + 1 : 1;
        next.dipsSince = sameWindow ? dipsSince : Optional.of(from);
        if (next.dips == tolerance.dipsUnsteady()) {
            found.add(new Unsteady(next.dips, next.dipsSince.orElseThrow()));
        }
    }

    private boolean isQuiet() {
        return quietSince.isPresent();
    }

    private static Duration doubtfulConfirm(Tolerance tolerance) {
        return tolerance.confirm().compareTo(Tolerance.DOUBTFUL_CONFIRM) < 0 ? Tolerance.DOUBTFUL_CONFIRM : tolerance.confirm();
    }

    private static Instant limitOf(Report report, Tolerance tolerance) {
        return report.observedAt().plus(report.nextWithin()).plus(tolerance.grace());
    }

    private static Optional<Instant> later(Optional<Instant> one, Instant other) {
        return Optional.of(one.filter(other::isBefore).orElse(other));
    }

    private Draft draft() {
        return new Draft(this);
    }

    /** The next state under construction; lives only inside one decision. */
    private static final class Draft {
        private Reading reading;
        private Optional<Instant> observedAt;
        private OptionalLong seq;
        private Optional<Instant> silentAfter;
        private Optional<Instant> suspectedAt;
        private Optional<Instant> confirmAt;
        private Optional<Instant> lostSince;
        private Optional<Instant> quietSince;
        private boolean silent;
        private boolean linkDown;
        private boolean clockOdd;
        private int dips;
        private Optional<Instant> dipsSince;

        private Draft(SensorState from) {
            reading = from.reading;
            observedAt = from.observedAt;
            seq = from.seq;
            silentAfter = from.silentAfter;
            suspectedAt = from.suspectedAt;
            confirmAt = from.confirmAt;
            lostSince = from.lostSince;
            quietSince = from.quietSince;
            silent = from.silent;
            linkDown = from.linkDown;
            clockOdd = from.clockOdd;
            dips = from.dips;
            dipsSince = from.dipsSince;
        }

        private Draft reading(Reading value) {
            reading = value;
            return this;
        }

        private Draft suspicion(Optional<Instant> since, Optional<Instant> confirm) {
            suspectedAt = since;
            confirmAt = confirm;
            return this;
        }

        private Draft lostSince(Optional<Instant> value) {
            lostSince = value;
            return this;
        }

        private SensorState done() {
            return new SensorState(reading, observedAt, seq, silentAfter, suspectedAt, confirmAt, lostSince, quietSince, silent, linkDown,
                    clockOdd, dips, dipsSince);
        }
    }
}
