package org.lampkeeper.register;

import jakarta.persistence.Entity;
import jakarta.persistence.FetchType;
import jakarta.persistence.GeneratedValue;
import jakarta.persistence.GenerationType;
import jakarta.persistence.Id;
import jakarta.persistence.ManyToOne;
import jakarta.persistence.Version;

/** Where circuits begin. Cabinets on the same board are lost together. */
@Entity
class Board {

    @Id
    @GeneratedValue(strategy = GenerationType.SEQUENCE, generator = "register_seq")
    private Long id;
    @ManyToOne(fetch = FetchType.LAZY, optional = false)
    private Site site;
    private String name;
    private String place;
    private String access;
    @Version
    private Integer version;

    protected Board() {
    }

    Board(Site site, NewBoard entered) {
        this.site = site;
        this.name = entered.name();
        this.place = entered.place();
        this.access = entered.access();
    }

    long id() {
        return id;
    }

    String name() {
        return name;
    }

    BoardSheet sheet() {
        return new BoardSheet(id, site.id(), site.name(), name, place, access);
    }
}
