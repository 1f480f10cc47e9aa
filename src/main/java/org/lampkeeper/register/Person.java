package org.lampkeeper.register;

import java.util.Optional;

import jakarta.persistence.Entity;
import jakarta.persistence.Id;

import org.jspecify.annotations.Nullable;

/** Somebody who can be told. The journal knows only the reference, so that the rest can be erased. */
@Entity
class Person extends Kept {

    @Id
    private Long id;
    private String reference;
    private @Nullable String salt;
    private String name;
    private @Nullable String mail;
    private @Nullable String phone;

    protected Person() {
    }

    Person(long id, NewPerson entered, By by) {
        PersonReference made = PersonReference.make(id);
        this.id = id;
        this.reference = made.value();
        this.salt = made.salt();
        take(entered, by);
    }

    void take(NewPerson entered, By by) {
        name = entered.name();
        mail = entered.mail().orElse(null);
        phone = entered.phone().orElse(null);
        changed(by);
    }

    /** Drops everything that tells who it was. */
    void erase(By by) {
        name = "erased";
        mail = null;
        phone = null;
        salt = null;
        changed(by);
    }

    /** Whether nothing tells any more who it was. */
    boolean isErased() {
        return salt == null;
    }

    Contact contact() {
        return new Contact(id, reference, name, Optional.ofNullable(mail), Optional.ofNullable(phone), version());
    }
}
