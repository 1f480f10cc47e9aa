package org.lampkeeper.register;

import java.util.Optional;

import jakarta.persistence.Entity;
import jakarta.persistence.Id;
import jakarta.persistence.Version;

import org.jspecify.annotations.Nullable;

/** Somebody who can be told. The journal knows only the reference, so that the rest can be erased. */
@Entity
class Person {

    @Id
    private Long id;
    private String reference;
    private @Nullable String salt;
    private String name;
    private @Nullable String mail;
    private @Nullable String phone;
    @Version
    private Integer version;

    protected Person() {
    }

    Person(long id, NewPerson entered) {
        PersonReference made = PersonReference.make(id);
        this.id = id;
        this.reference = made.value();
        this.salt = made.salt();
        this.name = entered.name();
        this.mail = entered.mail().orElse(null);
        this.phone = entered.phone().orElse(null);
    }

    /** Drops everything that tells who it was. */
    void erase() {
        name = "erased";
        mail = null;
        phone = null;
        salt = null;
    }

    Contact contact() {
        return new Contact(id, reference, name, Optional.ofNullable(mail), Optional.ofNullable(phone));
    }
}
