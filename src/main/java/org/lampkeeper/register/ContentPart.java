package org.lampkeeper.register;

import java.time.LocalDate;

import jakarta.persistence.Embeddable;

/** One dated part of a content. */
@Embeddable
class ContentPart {

    private String name;
    private LocalDate goodUntil;

    protected ContentPart() {
    }

    ContentPart(DatedPart part) {
        this.name = part.name();
        this.goodUntil = part.goodUntil();
    }

    DatedPart part() {
        return new DatedPart(name, goodUntil);
    }
}
