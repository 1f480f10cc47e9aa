package org.lampkeeper.register;

import java.util.List;
import java.util.Optional;

import org.lampkeeper.quantity.Celsius;

/**
 * What a cabinet holds, as entered.
 *
 * @param kind        one word or two: "defibrillator"
 * @param limitsAsked whether somebody looked up what its maker says. Until then the limits are not known, and are not "none"
 * @param lowest      the maker's lowest storage temperature, -60 to 100 °C; empty: the maker gives none
 * @param highest     the maker's highest storage temperature, above {@code lowest}; empty: the maker gives none
 * @param parts       at most 12
 */
public record NewContent(String kind, boolean limitsAsked, Optional<Celsius> lowest, Optional<Celsius> highest, List<DatedPart> parts) {

    // Ours: what no content for outdoors is stored at is a slip of the pen.
    public static final int LEAST_CELSIUS = -60;
    public static final int MOST_CELSIUS = 100;
    /** The width of the column. */
    public static final int LONGEST_PART = 80;
    // Ours: more than anything in such a cabinet has; together they fit into one journal entry.
    private static final int MOST_PARTS = 12;

    public NewContent {
        parts = List.copyOf(parts);
    }

    /** Content of which only the kind is known yet. */
    public static NewContent ofKind(String kind) {
        return new NewContent(kind, false, Optional.empty(), Optional.empty(), List.of());
    }

    /** Empty when it can be registered. */
    public List<Problem> problems() {
        Problems problems = new Problems()
                .text("kind", "content", kind, 80)
                .must("lowest", limitsAsked || lowest.isEmpty(), "lowest storage temperature is given, so it was asked for")
                .must("highest", limitsAsked || highest.isEmpty(), "highest storage temperature is given, so it was asked for")
                .must("lowest", lowest.map(NewContent::isPossible).orElse(true), "lowest storage temperature " + written(lowest)
                        + ", must be " + LEAST_CELSIUS + " to " + MOST_CELSIUS + " °C")
                .must("highest", highest.map(NewContent::isPossible).orElse(true), "highest storage temperature " + written(highest)
                        + ", must be " + LEAST_CELSIUS + " to " + MOST_CELSIUS + " °C")
                .must("highest", lowest.isEmpty() || highest.isEmpty() || highest.get().value() > lowest.get().value(),
                        "highest storage temperature " + written(highest) + ", must be above the lowest, " + written(lowest))
                .must("parts", parts.size() <= MOST_PARTS, parts.size() + " dated parts, must be at most " + MOST_PARTS);
        for (int i = 0; i < parts.size(); i++) {
            int year = parts.get(i).goodUntil().getYear();
            problems.text("parts." + i + ".name", "part", parts.get(i).name(), LONGEST_PART)
                    .must("parts." + i + ".goodUntil", year >= 2000 && year <= 2199, "year " + year + ", must be 2000 to 2199");
        }
        return problems.list();
    }

    private static boolean isPossible(Celsius temperature) {
        return temperature.value() >= LEAST_CELSIUS && temperature.value() <= MOST_CELSIUS;
    }

    private static String written(Optional<Celsius> temperature) {
        return temperature.map(it -> it.value() + " °C").orElse("none");
    }
}
