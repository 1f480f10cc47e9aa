package org.lampkeeper.register;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;

import jakarta.persistence.CollectionTable;
import jakarta.persistence.ElementCollection;
import jakarta.persistence.Entity;
import jakarta.persistence.FetchType;
import jakarta.persistence.GeneratedValue;
import jakarta.persistence.GenerationType;
import jakarta.persistence.Id;
import jakarta.persistence.JoinColumn;
import jakarta.persistence.ManyToOne;
import jakarta.persistence.OrderColumn;
import jakarta.persistence.Table;

import org.jspecify.annotations.Nullable;

import org.lampkeeper.callout.CallOutList;

/** The stored call-out list of a site; the one without a site is the operator's. */
@Entity
@Table(name = "call_out_list")
class CallOutListEntry extends Kept {

    @Id
    @GeneratedValue(strategy = GenerationType.SEQUENCE, generator = "register_seq")
    private Long id;
    @ManyToOne(fetch = FetchType.LAZY)
    private @Nullable Site site;
    private long repeatAfterSeconds;
    private int rounds;
    private boolean lastResort;
    @ElementCollection(fetch = FetchType.LAZY)
    @CollectionTable(name = "call_out_step", joinColumns = @JoinColumn(name = "list_id"))
    @OrderColumn(name = "position")
    private List<CallOutStep> steps = new ArrayList<>();

    protected CallOutListEntry() {
    }

    CallOutListEntry(Optional<Site> site, CallOutList list, By by) {
        this.site = site.orElse(null);
        replaceBy(list, by);
    }

    long id() {
        return id;
    }

    void replaceBy(CallOutList list, By by) {
        changed(by);
        repeatAfterSeconds = list.repeatAfter().toSeconds();
        rounds = list.rounds();
        lastResort = list.lastResort();
        steps.clear();
        list.turns().forEach(turn -> steps.add(new CallOutStep(turn)));
    }

    CallOutList list() {
        return new CallOutList(steps.stream().map(CallOutStep::turn).toList(), Duration.ofSeconds(repeatAfterSeconds), rounds, lastResort);
    }
}
