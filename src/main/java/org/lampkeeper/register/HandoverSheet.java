package org.lampkeeper.register;

import java.time.Instant;
import java.util.Collections;
import java.util.EnumMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;

/**
 * One version of the hand-over record of a cabinet.
 *
 * @param number      1 for the first version
 * @param revision    of the value that was saved last; 0 for none
 * @param remark      what was decided about figures that are not within; empty while it is not signed
 * @param fingerprint SHA-256 of the document that was signed
 * @param cabinetInUse of a cabinet that is not, the record is only read
 * @param held        what holds, by field; a field that nobody has touched is not there
 */
public record HandoverSheet(long id, long cabinetId, long siteId, int number, Instant openedAt, int revision, Optional<Signature> installer,
        Optional<Signature> site, Optional<String> remark, Optional<String> fingerprint, boolean cabinetInUse,
        Map<HandoverField, Held> held) {

    public HandoverSheet {
        held = Collections.unmodifiableMap(held.isEmpty() ? new EnumMap<>(HandoverField.class) : new EnumMap<>(held));
    }

    public record Signature(Instant at, long by) {
    }

    /**
     * @param by     nobody for what was taken over from the register
     * @param beside what others typed meanwhile without having seen this; it is kept until somebody decides
     */
    public record Held(String typed, int revision, Instant at, OptionalLong by, List<Other> beside) {

        public Held {
            beside = List.copyOf(beside);
        }
    }

    public record Other(String typed, int revision, Instant at, OptionalLong by) {
    }

    /** Not signed by the installer, and of a cabinet in use: it can be written in. */
    public boolean isOpen() {
        return installer.isEmpty() && cabinetInUse;
    }

    /** Signed by the installer alone, and of a cabinet in use. */
    public boolean waitsForSite() {
        return installer.isPresent() && site.isEmpty() && cabinetInUse;
    }

    /** Why nothing can be written in it, and what to do; empty while it can be. */
    public Optional<String> closedBecause() {
        if (isOpen()) {
            return Optional.empty();
        }
        return Optional.of(!cabinetInUse ? "the cabinet is out of use, and its record is only read; bring it back into use to go on"
                : "this version is signed; open a new version to change something");
    }

    public boolean isSigned() {
        return site.isPresent();
    }

    /** What holds, read. */
    public HandoverValues values() {
        Map<HandoverField, String> typed = new EnumMap<>(HandoverField.class);
        held.forEach((field, it) -> typed.put(field, it.typed()));
        return HandoverValues.of(typed);
    }

    /** Fields of which two different things were typed and nobody has decided yet. */
    public List<HandoverField> undecided() {
        return held.entrySet().stream().filter(it -> !it.getValue().beside().isEmpty()).map(Map.Entry::getKey).toList();
    }
}
