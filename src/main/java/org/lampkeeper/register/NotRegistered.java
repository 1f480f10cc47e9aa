package org.lampkeeper.register;

import java.util.List;

/** Something could not be registered, for the reasons in {@link #problems()}; nothing was stored. */
public final class NotRegistered extends IllegalArgumentException {

    private static final long serialVersionUID = 1L;

    private final transient List<String> problems;

    NotRegistered(List<String> problems) {
        super(String.join("; ", problems));
        this.problems = List.copyOf(problems);
    }

    /** One sentence each: the thing, the value, the rule. */
    public List<String> problems() {
        return problems;
    }

    static void unlessEmpty(List<String> problems) {
        if (!problems.isEmpty()) {
            throw new NotRegistered(problems);
        }
    }
}
