package org.lampkeeper.register;

import java.time.Instant;
import java.util.ArrayList;
import java.util.EnumMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.TreeMap;
import java.util.stream.Collectors;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Event;
import jakarta.enterprise.event.Observes;
import jakarta.persistence.EntityManager;
import jakarta.transaction.Transactional;

import org.hibernate.Session;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.register.HandoverSheet.Held;
import org.lampkeeper.register.HandoverSheet.Other;
import org.lampkeeper.register.HandoverSheet.Signature;
import org.lampkeeper.register.Locks.OptionalVersion;

/**
 * The hand-over records. Every value is kept as it was typed, and nothing that was typed is ever overwritten: what somebody typed without having
 * seen what another had typed meanwhile stands beside it until one who saw both decides. Each verb is one transaction, or part of the caller's.
 */
@ApplicationScoped
@Transactional
public class Handovers {

    private static final String NEXT_ID = "SELECT nextval('handover_seq')";

    private static final String ADD = """
            INSERT INTO handover (id, cabinet_id, number, opened_at, opened_by, revision) VALUES (:id, :cabinet, :number, :now, :by, 0)""";

    private static final String COLUMNS = """
            SELECT h.id, h.cabinet_id, c.site_id, h.number, h.opened_at, h.revision, h.installer_signed_at, h.installer_signed_by, h.site_signed_at,
                   h.site_signed_by, h.remark, h.fingerprint, c.out_of_use_since
              FROM handover h JOIN cabinet c ON c.id = h.cabinet_id
            """;

    private static final String ONE = COLUMNS + " WHERE h.id = :id";

    /** By handover_is_numbered_once. */
    private static final String OF_CABINET = COLUMNS + " WHERE h.cabinet_id = :cabinet ORDER BY h.number DESC";

    private static final String LOCK = "SELECT id FROM handover WHERE id = :id FOR UPDATE";

    private static final String VALUES = """
            SELECT field, revision, typed, beside, saved_at, saved_by FROM handover_value WHERE handover_id = :id ORDER BY revision""";

    private static final String ADD_VALUE = """
            INSERT INTO handover_value (handover_id, revision, field, typed, beside, saved_at, saved_by)
            VALUES (:id, :revision, :field, :typed, :beside, :now, :by)""";

    private static final String REVISED = "UPDATE handover SET revision = :revision WHERE id = :id";

    private static final String INSTALLER_SIGNS = """
            UPDATE handover SET installer_signed_at = :now, installer_signed_by = :by, remark = :remark, document = :document, fingerprint = :fingerprint
             WHERE id = :id""";

    private static final String INSTALLER_TAKES_BACK = """
            UPDATE handover SET installer_signed_at = NULL, installer_signed_by = NULL, remark = NULL, document = NULL, fingerprint = NULL
             WHERE id = :id AND site_signed_at IS NULL""";

    private static final String SITE_SIGNS = "UPDATE handover SET site_signed_at = :now, site_signed_by = :by WHERE id = :id";

    private static final String DOCUMENT = "SELECT document FROM handover WHERE id = :id AND document IS NOT NULL";

    private static final String ADD_PHOTO = """
            INSERT INTO handover_photo (cabinet_id, sha256, picture, received_at, received_by) VALUES (:cabinet, :sha256, :picture, :now, :by)""";

    /** By handover_photo_is_kept_once. */
    private static final String PHOTOS = "SELECT COUNT(*), COUNT(CASE WHEN sha256 = :sha256 THEN 1 END) FROM handover_photo WHERE cabinet_id = :cabinet";

    private static final String PHOTO = """
            SELECT p.picture FROM handover h JOIN handover_photo p ON p.cabinet_id = h.cabinet_id WHERE h.id = :id AND p.sha256 = :sha256""";

    /** Ours: 18 MB a cabinet at most. */
    private static final int MOST_PHOTOS = 20;

    /** Cut to the width of the column. */
    private static final String UNNAME_VALUES = """
            UPDATE handover_value SET typed = LEFT(REPLACE(typed, :name, 'erased'), 400) WHERE POSITION(:name IN typed) > 0""";

    /** What was signed then does not fit its fingerprint any more: whoever is erased is more than that. */
    private static final String UNNAME = """
            UPDATE handover SET document = REPLACE(document, :name, 'erased'), remark = REPLACE(remark, :name, 'erased')
             WHERE POSITION(:name IN COALESCE(document, '')) > 0 OR POSITION(:name IN COALESCE(remark, '')) > 0""";

    private final EntityManager entities;
    private final Register register;
    private final Locks locks;
    private final Event<Edited> edited;

    Handovers(EntityManager entities, Register register, Locks locks, Event<Edited> edited) {
        this.entities = entities;
        this.register = register;
        this.locks = locks;
        this.edited = edited;
    }

    /**
     * @param seen    the revision of the record that stood on the page into which it was typed
     * @param decides whoever typed it has seen what else was typed, and says that this is right
     */
    public record Typed(HandoverField field, String typed, int seen, boolean decides) {
    }

    /** What became of a saving. */
    public sealed interface SaveResult {

        /** @param beside what is kept beside what somebody else had typed meanwhile */
        record Saved(HandoverSheet now, List<HandoverField> beside) implements SaveResult {
            public Saved {
                beside = List.copyOf(beside);
            }
        }

        /** Nothing was stored: what is wrong, field by field. */
        record Refused(List<Problem> problems) implements SaveResult {
            public Refused {
                problems = List.copyOf(problems);
            }
        }

        /** Nothing was stored: it is signed and a change needs a version of its own, or its cabinet is out of use. */
        record Closed(HandoverSheet now) implements SaveResult {
        }

        record NotFound() implements SaveResult {
        }
    }

    /**
     * The record of this cabinet that can be written in: the one that is there, or a new version. A new one begins with what the version before
     * says, the first with what the register knows; nothing else is filled in.
     *
     * @throws NotRegistered when the cabinet is not in use
     */
    public long open(long cabinetId, By by) {
        locks.cabinet(cabinetId, OptionalVersion.ANY);
        CabinetSheet cabinet = register.findSheet(cabinetId)
                .orElseThrow(() -> new NotRegistered("hand-over of cabinet " + cabinetId, List.of(new Problem("", "the cabinet is not in use"))));
        List<HandoverSheet> versions = ofCabinet(cabinetId);
        if (!versions.isEmpty() && !versions.get(0).isSigned()) {
            return versions.get(0).id();
        }
        long id = Rows.number(entities.createNativeQuery(NEXT_ID).getSingleResult());
        int number = versions.isEmpty() ? 1 : versions.get(0).number() + 1;
        entities.unwrap(Session.class).createNativeMutationQuery(ADD).setParameter("id", id).setParameter("cabinet", cabinetId).setParameter("number", number)
                .setParameter("now", by.at()).setParameter("by", orNull(by.personId()), Long.class).executeUpdate();
        Map<HandoverField, String> begun = new EnumMap<>(HandoverField.class);
        if (versions.isEmpty()) {
            begun.putAll(known(cabinet));
        } else {
            versions.get(0).held().forEach((field, held) -> begun.put(field, held.typed()));
        }
        int revision = 0;
        for (Map.Entry<HandoverField, String> value : begun.entrySet()) {
            add(id, ++revision, value.getKey(), value.getValue(), false, By.nobody(by.at()));
        }
        revised(id, revision);
        fire(cabinetId, cabinet.site().id(), id, "opened", Map.of("number", number), by);
        return id;
    }

    public Optional<HandoverSheet> find(long id) {
        return entities.createNativeQuery(ONE).setParameter("id", id).getResultList().stream().findFirst().map(row -> sheet((Object[]) row));
    }

    /** All versions, the newest first. */
    public List<HandoverSheet> ofCabinet(long cabinetId) {
        List<HandoverSheet> sheets = new ArrayList<>();
        for (Object row : entities.createNativeQuery(OF_CABINET).setParameter("cabinet", cabinetId).getResultList()) {
            sheets.add(sheet((Object[]) row));
        }
        return List.copyOf(sheets);
    }

    /** Keeps what was typed, right or wrong; only what cannot be a line of text is refused. A repeat of the same changes nothing. */
    public SaveResult save(long id, List<Typed> typed, By by) {
        Optional<HandoverSheet> found = locked(id);
        if (found.isEmpty()) {
            return new SaveResult.NotFound();
        }
        HandoverSheet sheet = found.get();
        if (!sheet.isOpen()) {
            return new SaveResult.Closed(sheet);
        }
        List<Problem> problems = typed.stream().flatMap(it -> it.field().unstorable(it.typed()).stream()).collect(Collectors.toCollection(ArrayList::new));
        typed.stream().filter(it -> it.field().shape().kind() == HandoverField.Kind.PHOTO && !it.typed().isBlank() && !photos(sheet, it.typed().strip()).isKept())
                .forEach(it -> problems.add(new Problem(it.field().key(), "this photo is not kept here; send it again")));
        if (!problems.isEmpty()) {
            return new SaveResult.Refused(problems);
        }
        List<Stored> stored = stored(id);
        int revision = sheet.revision();
        List<HandoverField> beside = new ArrayList<>();
        for (Typed it : typed) {
            String text = it.typed().strip();
            Optional<Held> held = Optional.ofNullable(sheet.held().get(it.field()));
            boolean hasSeenAll = held.isEmpty() || held.get().revision() <= it.seen() && held.get().beside().stream().allMatch(other -> other.revision() <= it.seen());
            boolean decides = it.decides() && hasSeenAll && held.isPresent() && !held.get().beside().isEmpty();
            boolean isAsHeld = held.map(Held::typed).orElse("").equals(text);
            boolean isAsSeen = asSeen(stored, it.field(), it.seen()).equals(text);
            boolean isKeptBeside = held.isPresent() && held.get().beside().stream().anyMatch(other -> other.typed().equals(text));
            if (decides || !isAsHeld && !isAsSeen && !isKeptBeside) {
                add(id, ++revision, it.field(), text, !hasSeenAll, by);
                if (!hasSeenAll) {
                    beside.add(it.field());
                }
            }
        }
        revised(id, revision);
        return new SaveResult.Saved(find(id).orElseThrow(), beside);
    }

    /**
     * Keeps a picture, and takes it for what this field says, as {@link #save} takes what was typed.
     *
     * @param jpeg   at most 900,000 bytes
     * @param sha256 of it
     */
    public SaveResult savePhoto(long id, HandoverField field, byte[] jpeg, String sha256, int seen, By by) {
        Optional<HandoverSheet> found = locked(id).filter(HandoverSheet::isOpen);
        if (found.isPresent()) {
            HandoverSheet sheet = found.get();
            locks.cabinet(sheet.cabinetId(), OptionalVersion.ANY);
            Photos kept = photos(sheet, sha256);
            if (!kept.isKept() && kept.count() >= MOST_PHOTOS) {
                return new SaveResult.Refused(List.of(new Problem(field.key(), "of this cabinet " + MOST_PHOTOS + " photos are kept, which is all there can be")));
            }
            if (!kept.isKept()) {
                entities.unwrap(Session.class).createNativeMutationQuery(ADD_PHOTO).setParameter("cabinet", sheet.cabinetId()).setParameter("sha256", sha256)
                        .setParameter("picture", jpeg).setParameter("now", by.at()).setParameter("by", orNull(by.personId()), Long.class).executeUpdate();
                fire(sheet.cabinetId(), sheet.siteId(), id, "photo-kept", Map.of("number", sheet.number(), "field", field.key(), "photo-sha256", sha256), by);
            }
        }
        return save(id, List.of(new Typed(field, sha256, seen, false)), by);
    }

    /** A picture of the cabinet of this record, as a JPEG. */
    public Optional<byte[]> photo(long id, String sha256) {
        return entities.createNativeQuery(PHOTO, byte[].class).setParameter("id", id).setParameter("sha256", sha256).getResultList().stream().findFirst().map(byte[].class::cast);
    }

    private record Photos(int count, boolean isKept) {
    }

    private Photos photos(HandoverSheet sheet, String sha256) {
        Object[] row = (Object[]) entities.createNativeQuery(PHOTOS).setParameter("cabinet", sheet.cabinetId()).setParameter("sha256", sha256).getSingleResult();
        return new Photos((int) Rows.number(row[0]), Rows.number(row[1]) > 0);
    }

    /**
     * The installer signs what stands there.
     *
     * @param revision that the installer has seen
     * @return false where it is signed already, or somebody has typed something since
     */
    public boolean installerSigns(long id, int revision, String remark, String document, String fingerprint, By by) {
        Optional<HandoverSheet> found = locked(id).filter(it -> it.isOpen() && it.revision() == revision);
        found.ifPresent(sheet -> {
            entities.createNativeQuery(INSTALLER_SIGNS).setParameter("id", id).setParameter("now", by.at()).setParameter("by", by.personId().orElseThrow())
                    .setParameter("remark", remark).setParameter("document", document).setParameter("fingerprint", fingerprint).executeUpdate();
            fire(sheet.cabinetId(), sheet.siteId(), id, "signed-by-installer", Map.of("number", sheet.number(), "fingerprint", fingerprint), by);
        });
        return found.isPresent();
    }

    /** The record can be written in again; false once the site has signed, or nobody had. */
    public boolean installerTakesBack(long id, By by) {
        Optional<HandoverSheet> found = locked(id).filter(HandoverSheet::waitsForSite);
        found.ifPresent(sheet -> {
            entities.createNativeQuery(INSTALLER_TAKES_BACK).setParameter("id", id).executeUpdate();
            fire(sheet.cabinetId(), sheet.siteId(), id, "signature-taken-back", Map.of("number", sheet.number()), by);
        });
        return found.isPresent();
    }

    /**
     * The site signs the same document. From then on this version is only read.
     *
     * @return false where the installer has not signed this document, it is the same person, or it is signed already
     */
    public boolean siteSigns(long id, String fingerprint, By by) {
        Optional<HandoverSheet> found = locked(id).filter(it -> it.waitsForSite() && it.fingerprint().equals(Optional.of(fingerprint))
                && it.installer().orElseThrow().by() != by.personId().orElseThrow());
        found.ifPresent(sheet -> {
            entities.createNativeQuery(SITE_SIGNS).setParameter("id", id).setParameter("now", by.at()).setParameter("by", by.personId().orElseThrow()).executeUpdate();
            fire(sheet.cabinetId(), sheet.siteId(), id, "signed-by-site", Map.of("number", sheet.number(), "fingerprint", fingerprint), by);
        });
        return found.isPresent();
    }

    /** What was signed; empty while the installer has not. */
    public Optional<String> document(long id) {
        return entities.createNativeQuery(DOCUMENT).setParameter("id", id).getResultList().stream().findFirst().map(Object::toString);
    }

    /** Nobody's name stays in a record once they are erased. */
    void erasing(@Observes ErasingPerson event) {
        entities.createNativeQuery(UNNAME_VALUES).setParameter("name", event.person().name()).executeUpdate();
        entities.createNativeQuery(UNNAME).setParameter("name", event.person().name()).executeUpdate();
    }

    private Optional<HandoverSheet> locked(long id) {
        return entities.createNativeQuery(LOCK).setParameter("id", id).getResultList().isEmpty() ? Optional.empty() : find(id);
    }

    private void add(long id, int revision, HandoverField field, String typed, boolean beside, By by) {
        entities.unwrap(Session.class).createNativeMutationQuery(ADD_VALUE).setParameter("id", id).setParameter("revision", revision).setParameter("field", field.key())
                .setParameter("typed", typed).setParameter("beside", beside).setParameter("now", by.at()).setParameter("by", orNull(by.personId()), Long.class)
                .executeUpdate();
    }

    private void revised(long id, int revision) {
        entities.createNativeQuery(REVISED).setParameter("id", id).setParameter("revision", revision).executeUpdate();
    }

    private void fire(long cabinetId, long siteId, long id, String verb, Map<String, Object> after, By by) {
        TreeMap<String, Object> facts = new TreeMap<>(after);
        facts.put("cabinet", cabinetId);
        edited.fire(new Edited("handover", id, OptionalLong.of(siteId), verb, new TreeMap<>(), facts, by));
    }

    private record Stored(HandoverField field, int revision, String typed, boolean beside, Instant at, OptionalLong by) {
    }

    private List<Stored> stored(long id) {
        List<Stored> all = new ArrayList<>();
        for (Object found : entities.createNativeQuery(VALUES).setParameter("id", id).getResultList()) {
            Object[] row = (Object[]) found;
            // A field that this program has no more is kept, and not shown.
            HandoverField.of((String) row[0]).ifPresent(field -> all.add(new Stored(field, (int) Rows.number(row[1]), (String) row[2],
                    Boolean.TRUE.equals(row[3]), Rows.instant(row[4]), number(row[5]))));
        }
        return all;
    }

    private static String asSeen(List<Stored> stored, HandoverField field, int seen) {
        return stored.stream().filter(it -> it.field() == field && !it.beside() && it.revision() <= seen).reduce((earlier, later) -> later).map(Stored::typed)
                .orElse("");
    }

    private HandoverSheet sheet(Object[] row) {
        long id = Rows.number(row[0]);
        Map<HandoverField, Held> held = new EnumMap<>(HandoverField.class);
        for (Stored it : stored(id)) {
            if (it.beside()) {
                held.computeIfPresent(it.field(), (field, holds) -> {
                    List<Other> others = new ArrayList<>(holds.beside());
                    others.add(new Other(it.typed(), it.revision(), it.at(), it.by()));
                    return new Held(holds.typed(), holds.revision(), holds.at(), holds.by(), others);
                });
            } else {
                held.put(it.field(), new Held(it.typed(), it.revision(), it.at(), it.by(), List.of()));
            }
        }
        return new HandoverSheet(id, Rows.number(row[1]), Rows.number(row[2]), (int) Rows.number(row[3]), Rows.instant(row[4]), (int) Rows.number(row[5]),
                signature(row[6], row[7]), signature(row[8], row[9]), Optional.ofNullable((String) row[10]), Optional.ofNullable((String) row[11]), row[12] == null, held);
    }

    private static Optional<Signature> signature(@Nullable Object at, @Nullable Object by) {
        return at == null || by == null ? Optional.empty() : Optional.of(new Signature(Rows.instant(at), Rows.number(by)));
    }

    private Map<HandoverField, String> known(CabinetSheet cabinet) {
        Map<HandoverField, String> known = new EnumMap<>(HandoverField.class);
        CircuitSheet circuit = cabinet.circuit();
        known.put(HandoverField.POSITION, cabinet.place());
        known.put(HandoverField.BOARD, cabinet.board().name());
        known.put(HandoverField.WAY, circuit.way());
        known.put(HandoverField.DEVICE, circuit.device().name());
        known.put(HandoverField.CURVE, circuit.curve().name());
        known.put(HandoverField.RATING, Integer.toString(circuit.ratingAmpere()));
        circuit.residualMilliampere().ifPresent(value -> known.put(HandoverField.RESIDUAL, Integer.toString(value)));
        known.put(HandoverField.FUSE, Integer.toString(circuit.fuseAmpere()));
        known.put(HandoverField.LAMP_PLACE, cabinet.lampPlace());
        known.put(HandoverField.CONTENT, cabinet.content());
        register.content(cabinet.cabinetId()).filter(ContentSheet::limitsAsked).ifPresent(content -> {
            content.lowest().ifPresent(it -> known.put(HandoverField.LOWEST, written(it)));
            content.highest().ifPresent(it -> known.put(HandoverField.HIGHEST, written(it)));
            known.put(HandoverField.STORAGE, content.lowest().isPresent() ? content.highest().isPresent() ? "BOTH" : "LOWEST"
                    : content.highest().isPresent() ? "HIGHEST" : "NONE");
        });
        List<DatedPart> parts = register.content(cabinet.cabinetId()).map(ContentSheet::parts).orElse(List.of());
        for (int i = 0; i < parts.size(); i++) {
            known.put(HandoverField.parts().get(i).name(), parts.get(i).name());
            known.put(HandoverField.parts().get(i).until(), parts.get(i).goodUntil().toString());
        }
        known.values().removeIf(String::isBlank);
        return known;
    }

    private static String written(Celsius value) {
        return value.value() == Math.rint(value.value()) ? Long.toString((long) value.value()) : Double.toString(value.value());
    }

    private static OptionalLong number(@Nullable Object value) {
        return value == null ? OptionalLong.empty() : OptionalLong.of(Rows.number(value));
    }

    private static @Nullable Long orNull(OptionalLong value) {
        return value.isPresent() ? value.getAsLong() : null;
    }
}
