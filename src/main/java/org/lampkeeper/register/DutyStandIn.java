package org.lampkeeper.register;

import java.time.LocalDate;

import jakarta.persistence.Entity;
import jakarta.persistence.GeneratedValue;
import jakarta.persistence.GenerationType;
import jakarta.persistence.Id;
import jakarta.persistence.Table;

import org.lampkeeper.callout.StandIn;

/** A stored stand-in for a shift. */
@Entity
@Table(name = "duty_stand_in")
class DutyStandIn extends Kept {

    @Id
    @GeneratedValue(strategy = GenerationType.SEQUENCE, generator = "register_seq")
    private Long id;
    private long shiftId;
    private long personId;
    private LocalDate fromDay;
    private LocalDate untilDay;

    protected DutyStandIn() {
    }

    DutyStandIn(long shiftId, long personId, LocalDate fromDay, LocalDate untilDay, By by) {
        this.shiftId = shiftId;
        this.personId = personId;
        this.fromDay = fromDay;
        this.untilDay = untilDay;
        changed(by);
    }

    StandIn standIn() {
        return new StandIn(id, shiftId, personId, fromDay, untilDay);
    }
}
