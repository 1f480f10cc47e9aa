package org.lampkeeper.register;

import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;
import java.util.SortedMap;
import java.util.TreeMap;
import java.util.TreeSet;

import org.lampkeeper.callout.CallOutList;
import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.quantity.Celsius;

/**
 * What is told of a thing when it is changed. How to get in, and who an electrician is and what number they have, is only told to be
 * another now: what is journalled can never be taken out again.
 */
final class Facts {

    private static final Set<String> KEPT_BACK = Set.of("access", "electrician", "name-of-person", "mail", "phone");
    private static final String NOT_WRITTEN = "(not written down here)";

    private Facts() {
    }

    static SortedMap<String, Object> none() {
        return new TreeMap<>();
    }

    static SortedMap<String, Object> of(SiteSheet site) {
        return facts(Map.of("name", site.name(), "address", site.address(), "zone", site.zone().getId(), "access", site.access(), "intake",
                site.intake(), "electrician", site.electrician().map(Electrician::toString).orElse("")));
    }

    static SortedMap<String, Object> of(BoardSheet board) {
        return facts(Map.of("name", board.name(), "place", board.place(), "access", board.access()));
    }

    static SortedMap<String, Object> of(CabinetFacts cabinet) {
        return facts(Map.of("code", cabinet.code(), "name", cabinet.name(), "place", cabinet.place(), "lamp-place", cabinet.lampPlace()));
    }

    static SortedMap<String, Object> of(CircuitSheet circuit, long boardId) {
        SortedMap<String, Object> facts = facts(Map.of("board", boardId, "way", circuit.way(), "device", circuit.device().name(), "curve",
                circuit.curve().name(), "rating-a", circuit.ratingAmpere(), "cable", circuit.cable(), "fuse-a", circuit.fuseAmpere(),
                "fused-unit-place", circuit.fusedUnitPlace()));
        circuit.residualMilliampere().ifPresent(value -> facts.put("residual-ma", value));
        return facts;
    }

    /** The report on what was not fit for use reads the parts: as they are written, so they stay. */
    static SortedMap<String, Object> of(ContentSheet content) {
        return facts(Map.of("kind", content.kind(), "lowest-c", limit(content.limitsAsked(), content.lowest()), "highest-c",
                limit(content.limitsAsked(), content.highest()), "parts",
                content.parts().stream().map(part -> part.name() + ", until " + part.goodUntil()).toList()));
    }

    static SortedMap<String, Object> of(NewWarmth warmth) {
        SortedMap<String, Object> facts = facts(Map.of("needs-supply", warmth.needsSupply(), "slower-when-warm", warmth.slowerWhenWarm()));
        warmth.setPoint().ifPresent(it -> facts.put("set-point-c", it.value()));
        warmth.heaterWatt().ifPresent(it -> facts.put("heater-w", it));
        warmth.wattPerKelvin().ifPresent(it -> facts.put("watt-per-kelvin", it));
        warmth.joulePerKelvin().ifPresent(it -> facts.put("joule-per-kelvin", it));
        warmth.coldest().ifPresent(it -> facts.put("coldest-c", it.value()));
        warmth.body().surfaceCoefficient().ifPresent(it -> facts.put("surface-w-per-m2k", it));
        warmth.body().millimetres().ifPresent(it -> facts.put("content-mm", it));
        warmth.body().conductivity().ifPresent(it -> facts.put("content-w-per-mk", it));
        return facts;
    }

    /** Whether there is a mail address and a phone number, and that they are others now; never which. */
    static SortedMap<String, Object> of(Contact person) {
        return facts(Map.of("reference", person.reference(), "name-of-person", person.name(), "mail", person.mail().orElse(""), "phone",
                person.phone().orElse("")));
    }

    static SortedMap<String, Object> of(SensorKey sensor) {
        return facts(Map.of("device", sensor.deviceId(), "base-name", sensor.baseName(), "cabinet", sensor.cabinetId()));
    }

    static SortedMap<String, Object> of(CallOutList list, Map<Long, String> references) {
        List<String> turns = new ArrayList<>();
        list.turns().forEach(turn -> turns.add(turn.role().map(DutyRole::name)
                .orElseGet(() -> references.getOrDefault(turn.personId().orElseThrow(), "?")) + " after " + turn.after()));
        return facts(Map.of("turns", turns, "repeat-after", list.repeatAfter().toString(), "rounds", list.rounds(), "last-resort",
                list.lastResort()));
    }

    static OptionalLong at(long siteId) {
        return siteId == CallOutLists.OPERATOR ? OptionalLong.empty() : OptionalLong.of(siteId);
    }

    /** Only what differs, on both sides. */
    static Change between(SortedMap<String, Object> before, SortedMap<String, Object> after) {
        SortedMap<String, Object> was = new TreeMap<>();
        SortedMap<String, Object> is = new TreeMap<>();
        Set<String> names = new TreeSet<>(before.keySet());
        names.addAll(after.keySet());
        for (String name : names) {
            if (!Objects.equals(before.get(name), after.get(name))) {
                put(was, name, before);
                put(is, name, after);
            }
        }
        return new Change(was, is);
    }

    record Change(SortedMap<String, Object> before, SortedMap<String, Object> after) {
    }

    private static void put(SortedMap<String, Object> into, String name, SortedMap<String, Object> from) {
        if (from.containsKey(name)) {
            into.put(name, KEPT_BACK.contains(name) ? NOT_WRITTEN : from.get(name));
        }
    }

    private static Object limit(boolean asked, Optional<Celsius> limit) {
        return limit.<Object>map(Celsius::value).orElse(asked ? "none given" : "not asked");
    }

    /** What is empty is left out: there is nothing to tell of it. */
    private static SortedMap<String, Object> facts(Map<String, Object> facts) {
        SortedMap<String, Object> there = new TreeMap<>(facts);
        there.values().removeIf(""::equals);
        return there;
    }
}
