package org.lampkeeper.register;

import jakarta.persistence.Entity;
import jakarta.persistence.FetchType;
import jakarta.persistence.GeneratedValue;
import jakarta.persistence.GenerationType;
import jakarta.persistence.Id;
import jakarta.persistence.ManyToOne;

/** Where circuits begin. Cabinets on the same board are lost together. */
@Entity
class Board extends Kept {

    @Id
    @GeneratedValue(strategy = GenerationType.SEQUENCE, generator = "register_seq")
    private Long id;
    @ManyToOne(fetch = FetchType.LAZY, optional = false)
    private Site site;
    private String name;
    private String place;
    private String access;

    protected Board() {
    }

    Board(Site site, NewBoard entered, By by) {
        this.site = site;
        take(entered, by);
    }

    void take(NewBoard entered, By by) {
        name = entered.name();
        place = entered.place();
        access = entered.access();
        changed(by);
    }

    long id() {
        return id;
    }

    String name() {
        return name;
    }

    Site site() {
        return site;
    }

    BoardSheet sheet() {
        return new BoardSheet(id, site.id(), site.name(), name, place, access, version());
    }
}
