package org.lampkeeper.register;

import java.time.Instant;

import jakarta.persistence.Entity;
import jakarta.persistence.GeneratedValue;
import jakarta.persistence.GenerationType;
import jakarta.persistence.Id;
import jakarta.persistence.Table;

import org.lampkeeper.callout.Absence;

/** A stored absence of a person, from all duties at all sites. */
@Entity
@Table(name = "duty_absence")
class DutyAbsence extends Kept {

    @Id
    @GeneratedValue(strategy = GenerationType.SEQUENCE, generator = "register_seq")
    private Long id;
    private long personId;
    private Instant beginsAt;
    private Instant endsAt;

    protected DutyAbsence() {
    }

    DutyAbsence(long personId, Instant beginsAt, Instant endsAt, By by) {
        this.personId = personId;
        this.beginsAt = beginsAt;
        this.endsAt = endsAt;
        changed(by);
    }

    Absence absence() {
        return new Absence(id, personId, beginsAt, endsAt);
    }
}
