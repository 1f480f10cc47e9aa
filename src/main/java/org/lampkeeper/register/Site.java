package org.lampkeeper.register;

import java.time.ZoneId;
import java.util.Optional;

import jakarta.persistence.Entity;
import jakarta.persistence.GeneratedValue;
import jakarta.persistence.GenerationType;
import jakarta.persistence.Id;
import jakarta.persistence.Version;

import org.jspecify.annotations.Nullable;

/** A place with cabinets, an access and a time zone. */
@Entity
class Site {

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
    @Version
    private Integer version;

    protected Site() {
    }

    Site(NewSite entered) {
        this.name = entered.name();
        this.address = entered.address();
        this.zone = entered.zone().getId();
        this.access = entered.access();
        this.intake = entered.intake();
        this.electricianName = entered.electrician().map(Electrician::name).orElse(null);
        this.electricianPhone = entered.electrician().flatMap(Electrician::phone).orElse(null);
    }

    long id() {
        return id;
    }

    String name() {
        return name;
    }

    SiteSheet sheet() {
        return new SiteSheet(id, name, address, ZoneId.of(zone), access, intake,
                Optional.ofNullable(electricianName).map(known -> new Electrician(known, Optional.ofNullable(electricianPhone))));
    }
}
