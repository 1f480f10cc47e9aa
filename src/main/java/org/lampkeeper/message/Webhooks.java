package org.lampkeeper.message;

import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Event;
import jakarta.transaction.Transactional;

import org.lampkeeper.journal.Entry;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.message.WebhookTable.Endpoint;
import org.lampkeeper.register.By;
import org.lampkeeper.register.ChangedMeanwhile;
import org.lampkeeper.register.Contact;
import org.lampkeeper.register.NotRegistered;
import org.lampkeeper.register.People;
import org.lampkeeper.register.Problem;
import org.lampkeeper.register.Register;

/**
 * Registers the programs outside that hear of alarms. Every change is journalled, with the host of the URL alone: the rest of it may be a
 * secret of the receiver's. The caller has looked whether whoever asks may.
 */
@ApplicationScoped
@Transactional
public class Webhooks {

    private static final String FAILURE = "webhooks could not be read or changed";

    private final Database database;
    private final WebhookSecrets secrets;
    private final WebhookEvents events;
    private final GuardedClient client;
    private final WebhookConfig config;
    private final Journal journal;
    private final People people;
    private final Register register;
    private final Event<WebhookEvents.Put> put;

    Webhooks(Database database, WebhookSecrets secrets, WebhookEvents events, GuardedClient client, WebhookConfig config, Journal journal,
            People people, Register register, Event<WebhookEvents.Put> put) {
        this.database = database;
        this.secrets = secrets;
        this.events = events;
        this.client = client;
        this.config = config;
        this.journal = journal;
        this.people = people;
        this.register = register;
        this.put = put;
    }

    /** @param secret what its receiver verifies events with; told this once */
    public record Registered(long id, String secret) {

        @Override
        public String toString() {
            return "Registered[" + id + "]";
        }
    }

    private <T> T on(Database.Work<T> work) {
        return database.get(FAILURE, work);
    }

    private void run(Database.Step step) {
        database.run(FAILURE, step);
    }

    /** What keeps it from being registered; empty when nothing does. */
    public List<Problem> problems(NewWebhook entered) {
        return entered.problems(client.allowsHttp());
    }

    /** @throws NotRegistered with what is wrong */
    public Registered register(NewWebhook entered, By by) {
        NotRegistered.unlessEmpty("webhook", problems(entered));
        if (entered.siteId().isPresent() && register.site(entered.siteId().getAsLong()).isEmpty()) {
            throw notRegistered("siteId", "site " + entered.siteId().getAsLong());
        }
        String mark = secrets.newMark();
        long id = on(connection -> {
            long made = WebhookTable.add(connection, entered, mark, by.personId(), by.at());
            ChannelHealthTable.add(connection, WebhookTable.health(made));
            return made;
        });
        journal.append(entry("webhook-registered", endpoint(id), by).with("on", entered.isOn()));
        return new Registered(id, secrets.find(mark).orElseThrow().text());
    }

    /**
     * Replaces name and URL, and switches it on or off; it stays at its site. Switched off, what waits for it is given up.
     *
     * @throws NotRegistered    with what is wrong, or when there is no such endpoint
     * @throws ChangedMeanwhile when it is not in {@code version} any more
     */
    public void change(long id, int version, NewWebhook entered, By by) {
        NotRegistered.unlessEmpty("webhook " + id, problems(entered));
        Endpoint before = endpoint(id);
        run(connection -> {
            if (!WebhookTable.change(connection, id, version, entered, by.personId(), by.at())) {
                throw changedMeanwhile(before, version);
            }
            // Elsewhere, or put right: what was seen of it counts no more.
            ChannelHealthTable.works(connection, WebhookTable.health(id));
            if (!entered.isOn()) {
                WebhookTable.giveUp(connection, id, "the endpoint was switched off", by.at());
            }
        });
        journal.append(entry("webhook-changed", endpoint(id), by).with("on", entered.isOn()));
    }

    /** Makes another secret and returns it; the one before signs as well for {@link WebhookConfig#overlap()}. */
    public String renewSecret(long id, By by) {
        Endpoint before = endpoint(id);
        String mark = secrets.newMark();
        run(connection -> WebhookTable.renewSecret(connection, id, mark, by.at().plus(config.overlap()), by.personId(), by.at()));
        journal.append(entry("webhook-secret-renewed", before, by));
        return secrets.find(mark).orElseThrow().text();
    }

    /** With all that it was told. @throws ChangedMeanwhile when it is not in {@code version} any more */
    public void remove(long id, int version, By by) {
        Endpoint before = endpoint(id);
        run(connection -> {
            if (!WebhookTable.remove(connection, id, version)) {
                throw changedMeanwhile(before, version);
            }
            ChannelHealthTable.remove(connection, WebhookTable.health(id));
        });
        journal.append(entry("webhook-removed", before, by));
    }

    /** Puts an event that says nothing. @return its delivery; empty where the endpoint is off */
    public OptionalLong test(long id, By by) {
        return endpoint(id).isOn() ? OptionalLong.of(on(connection -> events.test(connection, id, by.at()))) : OptionalLong.empty();
    }

    /** Sends again what had failed, under the same id. @return whether it had, and its endpoint is on */
    public boolean again(long deliveryId, By by) {
        boolean isAsked = on(connection -> WebhookTable.again(connection, deliveryId, by.at()));
        if (isAsked) {
            put.fire(new WebhookEvents.Put());
        }
        return isAsked;
    }

    private Endpoint endpoint(long id) {
        return on(connection -> WebhookTable.endpoint(connection, id))
                .orElseThrow(() -> notRegistered("", "webhook " + id));
    }

    private static NotRegistered notRegistered(String field, String thing) {
        return new NotRegistered(thing, List.of(new Problem(field, thing + " is not registered")));
    }

    private ChangedMeanwhile changedMeanwhile(Endpoint before, int expected) {
        Endpoint now = endpoint(before.id());
        return new ChangedMeanwhile("webhook " + now.id(), expected, now.version(), Optional.of(now.changedAt()), now.changedBy());
    }

    private Entry entry(String kind, Endpoint endpoint, By by) {
        Entry entry = Entry.of(by.at(), kind).with("webhook", endpoint.id()).with("host", endpoint.url().getHost());
        if (by.personId().isPresent()) {
            entry = entry.with("person", people.find(by.personId().getAsLong()).map(Contact::reference));
        }
        return endpoint.siteId().isPresent() ? entry.site(endpoint.siteId().getAsLong()) : entry;
    }
}
