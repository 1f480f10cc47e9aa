package org.lampkeeper.register;

import java.util.List;
import java.util.stream.Collectors;

import org.jspecify.annotations.Nullable;

/** Something could not be registered or changed, for the reasons in {@link #problems()}; nothing was stored. */
public final class NotRegistered extends IllegalArgumentException {

    private static final long serialVersionUID = 1L;

    // Ours: a name that is refused for its length must not fill the log.
    private static final int LONGEST_THING = 120;

    private final transient List<Problem> problems;

    public NotRegistered(String thing, List<Problem> problems) {
        super((thing.length() > LONGEST_THING ? thing.substring(0, LONGEST_THING) + "…" : thing) + ": "
                + problems.stream().map(Problem::text).collect(Collectors.joining("; ")));
        this.problems = List.copyOf(problems);
    }

    /** Each with the field that it is about. */
    public List<Problem> problems() {
        return problems;
    }

    /** @throws NotRegistered when there is none */
    static <T> T unlessThere(@Nullable T found, String thing) {
        if (found == null) {
            throw new NotRegistered(thing, List.of(new Problem("", "not registered")));
        }
        return found;
    }

    /** @throws NotRegistered when there is any problem */
    public static void unlessEmpty(String thing, List<Problem> problems) {
        if (!problems.isEmpty()) {
            throw new NotRegistered(thing, problems);
        }
    }
}
