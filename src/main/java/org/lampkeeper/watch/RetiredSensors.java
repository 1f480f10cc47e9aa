package org.lampkeeper.watch;

import java.util.OptionalLong;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;

import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.register.SensorKey;
import org.lampkeeper.register.SensorRetired;

/**
 * With a sensor end the alarms that only it could have ended, in the transaction that retires it. Its status row is gone and locked by
 * then, so the site's lock is the next in order.
 */
@ApplicationScoped
class RetiredSensors {

    private final SiteWatches sites;
    private final AlarmKeeper alarms;
    private final FindingKeeper findings;

    RetiredSensors(SiteWatches sites, AlarmKeeper alarms, FindingKeeper findings) {
        this.sites = sites;
        this.alarms = alarms;
        this.findings = findings;
    }

    void retired(@Observes SensorRetired event) {
        SensorKey sensor = event.key();
        sites.lock(sensor.siteId());
        for (AlarmKind kind : AlarmKind.values()) {
            boolean comesFromASensor = switch (kind) {
                // Without a sensor nothing differs from it.
                case SUPPLY_LOST, NOT_HEARD, UNSTEADY, SENSOR_AND_LAMP_DIFFER, HEATER_NOT_HEATING, HEATER_NEVER_STOPS, HEATER_TOO_SMALL, DOOR_OPEN,
                    LOOKS_EMPTIED -> true;
                // Too cold or too hot it was, whoever measured it: only somebody who has looked ends that.
                case CONTENT_TOO_COLD, CONTENT_TOO_HOT, LOOK_MISSED, LAMP_OUT, DAMAGE_SEEN, PROBABLE_SITE_LOSS, NOT_LISTENING, MAIL_NOT_SENDING, BROKER_DROPPING, MESSAGES_STUCK, DATABASE_SLOW, CLOCK_STEPPED, DISK_NEARLY_FULL,
                    HEARTBEAT_NOT_SENT -> false;
            };
            if (comesFromASensor) {
                alarms.endsWithItsSensor(kind, sensor.siteId(), OptionalLong.of(sensor.cabinetId()), event.by());
            }
        }
        findings.noLongerQuiet(sensor.siteId(), event.by().at());
    }
}
