package org.lampkeeper.register;

import java.util.ArrayList;
import java.util.List;

/**
 * Somebody is about to be erased; fired inside the transaction that does it, while everything is still there. Whoever keeps something of
 * that person drops it now, or says why they have to stay for the present. Last in line is the register itself.
 */
public final class ErasingPerson {

    private final Contact person;
    private final By by;
    private final List<Problem> problems = new ArrayList<>();

    ErasingPerson(Contact person, By by) {
        this.person = person;
        this.by = by;
    }

    public Contact person() {
        return person;
    }

    public By by() {
        return by;
    }

    /** Nothing is erased then. {@code why} goes on after the name and says what would be right: {@code "has taken …, hand it on first"}. */
    public void refuse(String why) {
        problems.add(new Problem("", why));
    }

    List<Problem> problems() {
        return List.copyOf(problems);
    }
}
