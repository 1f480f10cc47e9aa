package org.lampkeeper.register;

import jakarta.persistence.Entity;
import jakarta.persistence.FetchType;
import jakarta.persistence.GeneratedValue;
import jakarta.persistence.GenerationType;
import jakarta.persistence.Id;
import jakarta.persistence.ManyToOne;
import jakarta.persistence.Version;

/** The outdoor enclosure and what it holds. */
@Entity
class Cabinet {

    @Id
    @GeneratedValue(strategy = GenerationType.SEQUENCE, generator = "register_seq")
    private Long id;
    @ManyToOne(fetch = FetchType.LAZY, optional = false)
    private Site site;
    private String code;
    private String name;
    private String place;
    private String content;
    private String lampPlace;
    @Version
    private Integer version;

    protected Cabinet() {
    }

    Cabinet(Site site, NewCabinet entered) {
        this.site = site;
        this.code = entered.code();
        this.name = entered.name();
        this.place = entered.place();
        this.content = entered.content();
        this.lampPlace = entered.lampPlace();
    }

    long id() {
        return id;
    }

    String code() {
        return code;
    }

    Site site() {
        return site;
    }

    CabinetSheet sheet(BoardSheet board, CircuitSheet circuit) {
        return new CabinetSheet(id, code, name, place, content, lampPlace, site.sheet(), board, circuit);
    }
}
