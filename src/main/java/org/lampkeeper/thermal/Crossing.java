package org.lampkeeper.thermal;

import java.util.List;
import java.util.OptionalDouble;
import java.util.function.DoublePredicate;

import org.lampkeeper.thermal.Outside.Knot;

/** When a temperature first passes a bound. */
final class Crossing {

    /** Ours: above what rounding does to the sum of two lags, far below any sensor. */
    private static final double NOT_PAST = 1e-9;

    /** Ours: two lags turn at most once within this, where cabinets take an hour. */
    private static final double PIECE = 300;

    /** Halvings, after which a double does not change any more. */
    private static final int HALVINGS = 60;

    private Crossing() {
    }

    /** Seconds from the first knot; empty: not up to the last one. */
    static OptionalDouble first(Lags start, List<Knot> outside, Bound bound) {
        if (bound.room(start.now()) < -NOT_PAST) {
            return OptionalDouble.of(0);
        }
        Lags at = start;
        for (int i = 1; i < outside.size(); i++) {
            Knot from = outside.get(i - 1);
            double length = outside.get(i).seconds() - from.seconds();
            if (length <= 0) {
                continue;
            }
            double slope = (outside.get(i).celsius() - from.celsius()) / length;
            int pieces = at.isOneNode() ? 1 : (int) Math.ceil(length / PIECE);
            double piece = length / pieces;
            for (int j = 0; j < pieces; j++) {
                double begin = j * piece;
                OptionalDouble within = within(at, from.celsius() + slope * begin, slope, piece, bound);
                if (within.isPresent()) {
                    return OptionalDouble.of(from.seconds() + begin + within.getAsDouble());
                }
                at = at.stepped(piece, from.celsius() + slope * begin, slope);
            }
        }
        return OptionalDouble.empty();
    }

    private static OptionalDouble within(Lags at, double outside, double slope, double length, Bound bound) {
        DoublePredicate isPast = seconds -> bound.room(at.after(seconds, outside, slope)) < -NOT_PAST;
        double turn = length;
        // Down and up again within one piece: the deepest point decides, or a short dip would be missed.
        if (bound.sign() * at.changeAfter(0, outside, slope) < 0 && bound.sign() * at.changeAfter(length, outside, slope) > 0) {
            turn = firstTrue(length, seconds -> bound.sign() * at.changeAfter(seconds, outside, slope) >= 0);
        }
        if (isPast.test(turn)) {
            return OptionalDouble.of(firstTrue(turn, isPast));
        }
        return isPast.test(length) ? OptionalDouble.of(firstTrue(length, isPast)) : OptionalDouble.empty();
    }

    /** True at {@code high}; where it turns true. */
    private static double firstTrue(double high, DoublePredicate claim) {
        double low = 0;
        double up = high;
        for (int i = 0; i < HALVINGS; i++) {
            double middle = (low + up) / 2;
            if (claim.test(middle)) {
                up = middle;
            } else {
                low = middle;
            }
        }
        return up;
    }
}
