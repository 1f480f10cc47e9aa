package org.lampkeeper.web;

import java.time.Instant;
import java.util.List;
import java.util.Optional;

import jakarta.enterprise.context.ApplicationScoped;

/** What is stored of one cabinet beside its sheet. */
@ApplicationScoped
class CabinetReading {

    /** By cabinet_has_one_sensor_in_use. */
    private static final String LAST_REPORT = """
            SELECT e.device_id, st.received_at, st.battery_percent, st.heater_on, st.door_open
              FROM sensor e LEFT JOIN sensor_status st ON st.sensor_id = e.id
             WHERE e.watches_cabinet_id = ?""";

    /** By suppression_by_site. */
    private static final String WORK = """
            SELECT s.kind, s.starts_at, s.ends_at, s.reason FROM suppression s
             WHERE s.site_id = (SELECT c.site_id FROM cabinet c WHERE c.id = ?) AND s.ends_at > ? AND s.ended_at IS NULL
               AND ((s.board_id IS NULL AND s.cabinet_id IS NULL) OR s.cabinet_id = ?
                    OR s.board_id = (SELECT f.board_id FROM circuit f WHERE f.cabinet_id = ?))
             ORDER BY s.starts_at, s.id""";

    private final Reads reads;

    CabinetReading(Reads reads) {
        this.reads = reads;
    }

    /** Of the sensor in use; {@code receivedAt} is empty until it has reported. */
    record LastReport(String deviceId, Optional<Instant> receivedAt, Optional<Double> battery, Optional<Boolean> heaterOn,
            Optional<Boolean> doorOpen) {
    }

    record WorkRow(String kind, Instant from, Instant to, String reason) {
    }

    Optional<LastReport> lastReport(long cabinetId) {
        return reads.first(LAST_REPORT, row -> new LastReport(row.text("device_id"), row.optionalInstant("received_at"),
                row.optionalDecimal("battery_percent"), row.has("heater_on") ? Optional.of(row.is("heater_on")) : Optional.empty(),
                row.has("door_open") ? Optional.of(row.is("door_open")) : Optional.empty()), cabinetId);
    }

    /** Times in which its alarms are or will be held back. */
    List<WorkRow> work(long cabinetId, Instant now) {
        return reads.list(WORK, row -> new WorkRow(row.text("kind"), row.instant("starts_at"), row.instant("ends_at"), row.text("reason")),
                cabinetId, now, cabinetId, cabinetId);
    }
}
