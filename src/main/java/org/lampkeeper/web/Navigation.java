package org.lampkeeper.web;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.inject.Named;

import org.lampkeeper.access.Caller;
import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.access.Reach;
import org.lampkeeper.access.Right;
import org.lampkeeper.web.csv.CsvKind;

/** What stands at the top of every page: where this caller may go, and who they are. Empty where nobody has signed in. */
@Named("navigation")
@ApplicationScoped
class Navigation {

    private final CurrentCaller current;

    Navigation(CurrentCaller current) {
        this.current = current;
    }

    /** {@code place}: the word by which a {@link Frame} says that it is the one shown. */
    public record Entry(String place, String href, String text) {
    }

    public List<Entry> entries() {
        return current.find().map(Caller::reach).map(Navigation::entries).orElse(List.of());
    }

    /** The name of the caller; empty where nobody has signed in. */
    public String name() {
        return current.find().map(Caller::name).orElse("");
    }

    /** Whether there is a kind of file that the caller may import. */
    public boolean mayImport() {
        return current.find().map(Caller::reach).filter(reach -> Arrays.stream(CsvKind.values()).anyMatch(kind -> reach.maySomewhere(kind
                .right()))).isPresent();
    }

    static List<Entry> entries(Reach reach) {
        List<Entry> entries = new ArrayList<>();
        if (reach.maySomewhere(Right.SEE)) {
            entries.add(new Entry("supply", "/", "Supply"));
            entries.add(new Entry("alarms", "/alarms", "Alarms"));
            entries.add(new Entry("messages", "/messages", "Messages"));
            entries.add(new Entry("people", "/people", "People"));
        }
        if (reach.maySomewhere(Right.READ_JOURNAL)) {
            entries.add(new Entry("journal", "/journal", "Journal"));
        }
        if (reach.mayEverywhere(Right.OPERATE)) {
            entries.add(new Entry("operation", "/operation", "Operation"));
        }
        return List.copyOf(entries);
    }
}
