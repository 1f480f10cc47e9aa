package org.lampkeeper.register;

import java.time.Instant;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.persistence.Entity;
import jakarta.persistence.FetchType;
import jakarta.persistence.GeneratedValue;
import jakarta.persistence.GenerationType;
import jakarta.persistence.Id;
import jakarta.persistence.ManyToOne;

import org.hibernate.annotations.OptimisticLock;
import org.jspecify.annotations.Nullable;

/** The outdoor enclosure and what it holds. */
@Entity
class Cabinet extends Kept {

    @Id
    @GeneratedValue(strategy = GenerationType.SEQUENCE, generator = "register_seq")
    private Long id;
    @ManyToOne(fetch = FetchType.LAZY, optional = false)
    private Site site;
    private String code;
    private String name;
    private String place;
    // Belongs to the content's form, so that changing it does not disturb whoever changes the cabinet.
    @OptimisticLock(excluded = true)
    private String content;
    private String lampPlace;
    private @Nullable Instant outOfUseSince;
    private @Nullable String outOfUseBecause;
    private @Nullable Long outOfUseBy;

    protected Cabinet() {
    }

    Cabinet(Site site, NewCabinet entered, By by) {
        this.site = site;
        this.content = entered.content().kind();
        take(entered.facts(), by);
    }

    void take(CabinetFacts entered, By by) {
        code = entered.code();
        name = entered.name();
        place = entered.place();
        lampPlace = entered.lampPlace();
        changed(by);
    }

    void holds(String kind) {
        content = kind;
    }

    void takeOutOfUse(String because, By by) {
        outOfUseSince = by.at();
        outOfUseBecause = because;
        outOfUseBy = by.personId().isPresent() ? by.personId().getAsLong() : null;
        changed(by);
    }

    void bringBack(By by) {
        outOfUseSince = null;
        outOfUseBecause = null;
        outOfUseBy = null;
        changed(by);
    }

    /** Empty while it is in use. */
    Optional<OutOfUseSheet> outOfUse() {
        return Optional.ofNullable(outOfUseSince).map(since -> new OutOfUseSheet(id, code, name, place, content, site.sheet(), since,
                outOfUseBecause == null ? "" : outOfUseBecause, outOfUseBy == null ? OptionalLong.empty() : OptionalLong.of(outOfUseBy),
                version()));
    }

    CabinetName named() {
        return new CabinetName(id, code, name, site.sheet(), Optional.ofNullable(outOfUseSince));
    }

    long id() {
        return id;
    }

    String code() {
        return code;
    }

    String content() {
        return content;
    }

    boolean isInUse() {
        return outOfUseSince == null;
    }

    CabinetFacts facts() {
        return new CabinetFacts(code, name, place, lampPlace);
    }

    Site site() {
        return site;
    }

    CabinetSheet sheet(BoardSheet board, CircuitSheet circuit) {
        return new CabinetSheet(id, code, name, place, content, lampPlace, site.sheet(), board, circuit, version());
    }
}
