package org.lampkeeper.register;

import java.time.LocalDate;
import java.time.LocalTime;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.persistence.Entity;
import jakarta.persistence.EnumType;
import jakarta.persistence.Enumerated;
import jakarta.persistence.GeneratedValue;
import jakarta.persistence.GenerationType;
import jakarta.persistence.Id;
import jakarta.persistence.Table;

import org.jspecify.annotations.Nullable;

import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.callout.Shift;

/** A stored shift of a rota. */
@Entity
@Table(name = "duty_shift")
class DutyShift extends Kept {

    @Id
    @GeneratedValue(strategy = GenerationType.SEQUENCE, generator = "register_seq")
    private Long id;
    private long siteId;
    @Enumerated(EnumType.STRING)
    private DutyRole role;
    private @Nullable Long personId;
    private int weekdays;
    private int fromMinute;
    private int toMinute;
    private int everyWeeks;
    private LocalDate validFrom;
    private @Nullable LocalDate validUntil;

    protected DutyShift() {
    }

    DutyShift(NewShift entered, By by) {
        siteId = entered.siteId();
        take(entered, by);
    }

    void take(NewShift entered, By by) {
        role = entered.role();
        personId = entered.personId().isPresent() ? entered.personId().getAsLong() : null;
        weekdays = Shift.bits(entered.days());
        fromMinute = entered.from().toSecondOfDay() / 60;
        toMinute = entered.to().toSecondOfDay() / 60;
        everyWeeks = entered.everyWeeks();
        validFrom = entered.validFrom();
        validUntil = entered.validUntil().orElse(null);
        changed(by);
    }

    ShiftSheet sheet() {
        return new ShiftSheet(siteId, shift(), version());
    }

    private Shift shift() {
        return new Shift(id, role, personId == null ? OptionalLong.empty() : OptionalLong.of(personId), Shift.days(weekdays), LocalTime.ofSecondOfDay(fromMinute * 60L),
                LocalTime.ofSecondOfDay(toMinute * 60L), everyWeeks, validFrom, Optional.ofNullable(validUntil));
    }
}
