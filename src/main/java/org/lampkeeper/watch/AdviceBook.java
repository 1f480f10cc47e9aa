package org.lampkeeper.watch;

import java.time.Instant;
import java.util.Collection;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.stream.Collectors;
import java.util.stream.Stream;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.persistence.EntityManager;

import org.lampkeeper.alarm.Advice;
import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.alarm.Neighbour;
import org.lampkeeper.alarm.Surroundings;
import org.lampkeeper.alarm.WhereToLook;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.Rows;
import org.lampkeeper.supply.Reading;

/** Where to look first for one cabinet, from what is known of its neighbours at a moment. Reads only; joins the caller's transaction. */
@ApplicationScoped
public class AdviceBook {

    private static final String READINGS_OF_CABINETS = """
            SELECT cabinet_id, reading, silent_after, lost_since FROM sensor_status WHERE cabinet_id IN (:cabinets)""";

    private final EntityManager entities;
    private final Register register;

    AdviceBook(EntityManager entities, Register register) {
        this.entities = entities;
        this.register = register;
    }

    /**
     * The advice for a cabinet; an unknown neighbour is passed on as unknown. Where a person and the sensor differ, what the sensor says now
     * tells which of the two said what.
     *
     * @param ofSite those of its site; it may be among them
     */
    Advice advise(AlarmKind kind, CabinetSheet sheet, List<CabinetSheet> ofSite, Instant now) {
        List<CabinetSheet> onBoard = others(register.sheetsOnBoard(sheet.board().id()), sheet.cabinetId());
        List<CabinetSheet> elsewhere = others(ofSite, sheet.cabinetId()).stream()
                .filter(other -> other.board().id() != sheet.board().id()).toList();
        Map<Long, Reading> readings = readings(Stream.of(onBoard, elsewhere, List.of(sheet)).flatMap(List::stream).map(CabinetSheet::cabinetId)
                .collect(Collectors.toSet()), now);
        boolean differs = kind == AlarmKind.SENSOR_AND_LAMP_DIFFER;
        Reading own = readings.getOrDefault(sheet.cabinetId(), Reading.UNKNOWN);
        return WhereToLook.advise(new Surroundings(sheet.name(), sheet.content(), sheet.place(), sheet.lampPlace(), sheet.board().name(),
                sheet.board().place(), sheet.board().access(), sheet.circuit().way(), sheet.circuit().deviceMark(), sheet.circuit().fuseAmpere(),
                sheet.circuit().fusedUnitPlace(), sheet.circuit().cable(), sheet.site().intake(), neighbours(onBoard, readings),
                neighbours(elsewhere, readings), differs && own == Reading.LOST, differs && own == Reading.HEALTHY));
    }

    /** What is known of the supply of one cabinet; unknown where no sensor says. */
    Reading reading(long cabinetId, Instant now) {
        return readings(List.of(cabinetId), now).getOrDefault(cabinetId, Reading.UNKNOWN);
    }

    private Map<Long, Reading> readings(Collection<Long> cabinets, Instant now) {
        Map<Long, Reading> readings = new HashMap<>();
        if (cabinets.isEmpty()) {
            return readings;
        }
        for (Object found : entities.createNativeQuery(READINGS_OF_CABINETS).setParameter("cabinets", cabinets).getResultList()) {
            Object[] row = (Object[]) found;
            boolean believed = row[2] != null && !now.isAfter(Rows.instant(row[2]));
            // A loss stays live through silence; a healthy reading does not.
            Reading known = row[3] != null ? Reading.LOST : believed ? Reading.valueOf((String) row[1]) : Reading.UNKNOWN;
            readings.put(Rows.number(row[0]), known);
        }
        return readings;
    }

    private static List<CabinetSheet> others(List<CabinetSheet> sheets, long cabinetId) {
        return sheets.stream().filter(sheet -> sheet.cabinetId() != cabinetId).toList();
    }

    private static List<Neighbour> neighbours(List<CabinetSheet> sheets, Map<Long, Reading> readings) {
        return sheets.stream().map(sheet -> new Neighbour(sheet.name(), readings.getOrDefault(sheet.cabinetId(), Reading.UNKNOWN)))
                .toList();
    }
}
