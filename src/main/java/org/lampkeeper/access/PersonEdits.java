package org.lampkeeper.access;

import java.util.Optional;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;

import org.lampkeeper.register.Edited;
import org.lampkeeper.register.ErasingPerson;
import org.lampkeeper.register.People;

/** Keeps accounts true to the register, in the transaction that changes it. */
@ApplicationScoped
class PersonEdits {

    private final Accounts accounts;
    private final Phones phones;
    private final People people;

    PersonEdits(Accounts accounts, Phones phones, People people) {
        this.accounts = accounts;
        this.phones = phones;
        this.people = people;
    }

    void erasing(@Observes ErasingPerson event) {
        if (accounts.isLastAdministrator(event.person().personId())) {
            event.refuse(Accounts.LAST_ADMINISTRATOR);
        } else {
            accounts.forget(event.person().personId());
            phones.forget(event.person().personId());
        }
    }

    void edited(@Observes Edited edited) {
        if (edited.thing().equals("person") && edited.verb().equals("changed")) {
            Optional<String> mail = people.contact(edited.id()).mail();
            // Without an address they go on signing in with the one that they had.
            if (mail.isPresent() && !accounts.moveSignInMail(edited.id(), mail.get())) {
                throw new NotAllowed("This mail address is what somebody else signs in with.");
            }
        }
    }
}
