package org.lampkeeper.register;

import java.time.ZoneId;
import java.util.Optional;

import jakarta.persistence.Entity;
import jakarta.persistence.GeneratedValue;
import jakarta.persistence.GenerationType;
import jakarta.persistence.Id;

import org.jspecify.annotations.Nullable;

/** A place with cabinets, an access and a time zone. */
@Entity
class Site extends Kept {

    @Id
    @GeneratedValue(strategy = GenerationType.SEQUENCE, generator = "register_seq")
    private Long id;
    private String name;
    private String address;
    private String zone;
    private String access;
    private String intake;
    private @Nullable String electricianName;
    private @Nullable String electricianPhone;

    protected Site() {
    }

    Site(NewSite entered, By by) {
        take(entered, by);
    }

    void take(NewSite entered, By by) {
        name = entered.name();
        address = entered.address();
        zone = entered.zone().getId();
        access = entered.access();
        intake = entered.intake();
        electricianName = entered.electrician().map(Electrician::name).orElse(null);
        electricianPhone = entered.electrician().flatMap(Electrician::phone).orElse(null);
        changed(by);
    }

    long id() {
        return id;
    }

    String name() {
        return name;
    }

    SiteSheet sheet() {
        return new SiteSheet(id, name, address, ZoneId.of(zone), access, intake,
                Optional.ofNullable(electricianName).map(known -> new Electrician(known, Optional.ofNullable(electricianPhone))), version());
    }
}
