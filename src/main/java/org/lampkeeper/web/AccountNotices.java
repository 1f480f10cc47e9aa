package org.lampkeeper.web;

import java.time.Clock;
import java.time.Duration;
import java.time.Instant;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.transaction.Transactional;

import org.lampkeeper.access.Accounts;
import org.lampkeeper.access.Caller;
import org.lampkeeper.message.MessageConfig;
import org.lampkeeper.message.NewMessage;
import org.lampkeeper.message.Outbox;
import org.lampkeeper.message.Proofs;
import org.lampkeeper.message.Purpose;
import org.lampkeeper.register.By;
import org.lampkeeper.register.Contact;
import org.lampkeeper.register.People;

/** Tells people by mail what was done with their account: so that whoever did not do it themselves hears of it. */
@ApplicationScoped
class AccountNotices {

    private final Accounts accounts;
    private final People people;
    private final Outbox outbox;
    private final Proofs proofs;
    private final MessageConfig messages;
    private final Clock clock;

    AccountNotices(Accounts accounts, People people, Outbox outbox, Proofs proofs, MessageConfig messages, Clock clock) {
        this.accounts = accounts;
        this.people = people;
        this.outbox = outbox;
        this.proofs = proofs;
        this.messages = messages;
        this.clock = clock;
    }

    /** @param address of the page behind the invitation, to hand over. {@code sentTo}: where it was sent; empty without a mail address */
    record Handed(String address, Instant endsAt, Optional<String> sentTo) {
    }

    /** Invites, and sends the link in the same transaction. */
    @Transactional
    Handed invite(long personId, Caller by) {
        Accounts.Invited invited = accounts.invite(personId, by);
        Contact person = people.contact(personId);
        String address = messages.address("invitation/" + invited.token());
        By asking = By.person(by.personId(), clock.instant());
        // Only the mail's own link says that the mail arrived: the one on the page is handed over by hand.
        person.mail().ifPresent(mail -> put(person, mail, by.name() + " invites you to Lampkeeper.", person.name() + ",\n\n" + by.name()
                + " invites you to Lampkeeper, which watches the supply of outdoor cabinets. Open this link, take a password, and you are in:\n\n"
                + address + proofs.withInvitation(personId, mail, invited.endsAt(), asking).map(token -> "?proof=" + token).orElse("")
                + "\n\nThe link is for you alone, can be used once, and ends in " + days(invited.endsAt())
                + ".\nIf you do not know what this is about, do nothing.\n"));
        return new Handed(address, invited.endsAt(), person.mail());
    }

    @Transactional
    void passwordChanged(long personId) {
        Contact person = people.contact(personId);
        person.mail().ifPresent(mail -> put(person, mail, "Your password for Lampkeeper was changed.", person.name()
                + ",\n\nthe password that you sign in to Lampkeeper with has just been changed, and all other sessions have ended.\n\n"
                + "If that was not you, tell an administrator at once: a new invitation sets another password.\n"));
    }

    private void put(Contact person, String mail, String subject, String body) {
        outbox.put(new NewMessage(Purpose.NOTICE, OptionalLong.empty(), OptionalLong.empty(), person.personId(), mail, subject, body, clock.instant()));
    }

    private String days(Instant end) {
        long hours = Duration.between(clock.instant(), end).toHours();
        return hours >= 48 ? hours / 24 + " days" : hours + " hours";
    }
}
