package org.lampkeeper.register;

import java.time.Instant;
import java.time.LocalDate;
import java.time.Period;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.TreeMap;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Event;
import jakarta.persistence.EntityManager;
import jakarta.transaction.Transactional;

import org.lampkeeper.register.DatedDuty.Kind;

/**
 * What comes due at the cabinets of a site: dates of the content as the register has them now, and what the hand-over that both signed last asks for.
 * Also the calendar by a secret address, of which only the hash is kept. Each verb is one transaction, or part of the caller's.
 */
@ApplicationScoped
@Transactional
public class DatedDuties {

    /** 514.12.2 of BS 7671, from secondary copies; before 2018 it was three months. */
    static final Period TEST_BUTTON_EVERY = Period.ofMonths(6);

    /** The last time that somebody said that the lamp was lit again after a press, by check_record_by_cabinet. */
    private static final String LAST_PRESSED = """
            SELECT MAX(r.looked_at) FROM check_record r JOIN check_due d ON d.id = r.due_id
             WHERE r.cabinet_id = :cabinet AND d.kind = 'TEST_BUTTON' AND r.answer = 'LIT'""";

    private static final String DROP = "DELETE FROM dates_calendar WHERE site_id = :site";
    private static final String ADD = "INSERT INTO dates_calendar (site_id, token_hash, made_at) VALUES (:site, :hash, :now)";
    private static final String WHOSE = "SELECT site_id FROM dates_calendar WHERE token_hash = :hash";
    private static final String HAS = "SELECT site_id FROM dates_calendar WHERE site_id = :site";

    private static final String REMINDED = """
            SELECT 1 FROM date_reminder WHERE cabinet_id = :cabinet AND kind = :kind AND what = :what AND due_on = :due""";
    private static final String REMIND = """
            INSERT INTO date_reminder (cabinet_id, kind, what, due_on, reminded_at) VALUES (:cabinet, :kind, :what, :due, :now)""";

    private final EntityManager entities;
    private final Register register;
    private final Handovers handovers;
    private final Locks locks;
    private final Event<Edited> edited;

    DatedDuties(EntityManager entities, Register register, Handovers handovers, Locks locks, Event<Edited> edited) {
        this.entities = entities;
        this.register = register;
        this.handovers = handovers;
        this.locks = locks;
        this.edited = edited;
    }

    /** By day. */
    public List<DatedDuty> ofSite(long siteId) {
        return register.sheetsOfSite(siteId).stream().flatMap(cabinet -> of(cabinet).stream()).sorted(Comparator.comparing(DatedDuty::due).thenComparing(DatedDuty::cabinet)).toList();
    }

    /** By day; empty for a cabinet that is not in use. */
    public List<DatedDuty> ofCabinet(long cabinetId) {
        return register.findSheet(cabinetId).map(this::of).orElse(List.of());
    }

    private List<DatedDuty> of(CabinetSheet cabinet) {
        List<DatedDuty> duties = new ArrayList<>();
        register.content(cabinet.cabinetId()).ifPresent(content -> content.parts()
                .forEach(part -> duties.add(new DatedDuty(cabinet.cabinetId(), cabinet.name(), Kind.PART, part.name(), part.goodUntil()))));
        Optional<HandoverSheet> signed = handovers.ofCabinet(cabinet.cabinetId()).stream().filter(HandoverSheet::isSigned).findFirst();
        signed.ifPresent(sheet -> {
            HandoverValues values = sheet.values();
            values.day(HandoverField.NEXT_INSPECTION).ifPresent(day -> duties.add(new DatedDuty(cabinet.cabinetId(), cabinet.name(), Kind.INSPECTION, "", day)));
            if (values.is(HandoverField.DEVICE, "RCBO")) {
                ZoneId zone = cabinet.site().zone();
                LocalDate since = lastPressed(cabinet.cabinetId()).filter(at -> at.isAfter(sheet.installer().orElseThrow().at())).orElse(sheet.installer().orElseThrow().at())
                        .atZone(zone).toLocalDate();
                duties.add(new DatedDuty(cabinet.cabinetId(), cabinet.name(), Kind.TEST_BUTTON, "", since.plus(TEST_BUTTON_EVERY)));
            }
        });
        return duties.stream().sorted(Comparator.comparing(DatedDuty::due)).toList();
    }

    private Optional<Instant> lastPressed(long cabinetId) {
        return Optional.ofNullable(entities.createNativeQuery(LAST_PRESSED).setParameter("cabinet", cabinetId).getSingleResult()).map(Rows::instant);
    }

    /** Whether somebody was reminded of it. */
    public boolean isReminded(DatedDuty duty) {
        return !entities.createNativeQuery(REMINDED).setParameter("cabinet", duty.cabinetId()).setParameter("kind", duty.kind().name())
                .setParameter("what", duty.what()).setParameter("due", duty.due()).getResultList().isEmpty();
    }

    /** Somebody was, who had not been before. */
    public void reminded(DatedDuty duty, Instant now) {
        entities.createNativeQuery(REMIND).setParameter("cabinet", duty.cabinetId()).setParameter("kind", duty.kind().name()).setParameter("what", duty.what())
                .setParameter("due", duty.due()).setParameter("now", now).executeUpdate();
    }

    /** Makes a new secret for the site's calendar; an older one is good no longer. */
    public String renewCalendar(long siteId, By by) {
        locks.holdSite(siteId);
        String secret = Unguessable.make();
        entities.createNativeQuery(DROP).setParameter("site", siteId).executeUpdate();
        entities.createNativeQuery(ADD).setParameter("site", siteId).setParameter("hash", Sha256.hex(secret)).setParameter("now", by.at()).executeUpdate();
        fire(siteId, "registered", by);
        return secret;
    }

    /** The address is good no longer; nothing happens where there is none. */
    public void endCalendar(long siteId, By by) {
        if (entities.createNativeQuery(DROP).setParameter("site", siteId).executeUpdate() > 0) {
            fire(siteId, "removed", by);
        }
    }

    public boolean hasCalendar(long siteId) {
        return !entities.createNativeQuery(HAS).setParameter("site", siteId).getResultList().isEmpty();
    }

    /** The site whose calendar this secret opens; empty for any other text. */
    public OptionalLong calendarOf(String secret) {
        List<?> found = entities.createNativeQuery(WHOSE).setParameter("hash", Sha256.hex(secret)).getResultList();
        return found.isEmpty() ? OptionalLong.empty() : OptionalLong.of(Rows.number(found.get(0)));
    }

    private void fire(long siteId, String verb, By by) {
        edited.fire(new Edited("dates-calendar", siteId, OptionalLong.of(siteId), verb, new TreeMap<>(), new TreeMap<>(), by));
    }
}
