package org.lampkeeper.watch;

import java.util.List;
import java.util.Map;
import java.util.OptionalLong;
import java.util.Set;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;

import org.lampkeeper.journal.Entry;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.register.Edited;
import org.lampkeeper.register.People;

/** Writes down every change of the register, in the transaction that makes it: what it was, what it is, and who changed it. */
@ApplicationScoped
class RegisterJournal {

    private static final Set<String> BY_CABINET = Set.of("cabinet", "circuit", "content", "warmth");
    /** Things that name their cabinet among their facts. */
    private static final Set<String> OF_CABINET = Set.of("sensor", "check-plan", "cabinet-label", "handover");

    private final Journal journal;
    private final People people;

    RegisterJournal(Journal journal, People people) {
        this.journal = journal;
        this.people = people;
    }

    void edited(@Observes Edited change) {
        Entry entry = Entry.of(change.by().at(), change.thing() + "-" + change.verb());
        if (change.siteId().isPresent()) {
            entry = entry.site(change.siteId().getAsLong());
        }
        OptionalLong cabinet = cabinet(change);
        if (cabinet.isPresent()) {
            entry = entry.cabinet(cabinet.getAsLong());
        }
        if (change.thing().equals("person")) {
            entry = entry.with("about", people.reference(OptionalLong.of(change.id())));
        } else {
            entry = entry.with("id", change.id());
        }
        journal.append(entry.with("person", people.reference(change.by().personId())).with("before", change.before()).with("after", change.after()));
    }

    private static OptionalLong cabinet(Edited change) {
        if (BY_CABINET.contains(change.thing())) {
            return OptionalLong.of(change.id());
        }
        for (Map<String, Object> facts : List.of(change.after(), change.before())) {
            if (OF_CABINET.contains(change.thing()) && facts.get("cabinet") instanceof Long cabinetId) {
                return OptionalLong.of(cabinetId);
            }
        }
        return OptionalLong.empty();
    }
}
