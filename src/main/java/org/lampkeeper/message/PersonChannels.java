package org.lampkeeper.message;

import java.sql.Connection;
import java.sql.SQLException;
import java.time.Clock;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Collection;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.stream.Collectors;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Event;
import jakarta.enterprise.event.Observes;
import jakarta.transaction.Transactional;

import org.lampkeeper.journal.Entry;
import org.lampkeeper.journal.Journal;
import org.lampkeeper.register.By;
import org.lampkeeper.register.Contact;
import org.lampkeeper.register.Edited;
import org.lampkeeper.register.People;

/** How each person is reached, in their own order. Every change is journalled, without the address. */
@ApplicationScoped
@Transactional
public class PersonChannels {

    /** Ours: more than anybody carries; whoever could enter them without end could have strangers written to. */
    static final int MOST = 10;

    private static final String FAILURE = "channels of people could not be read or changed";

    private final Database database;
    private final Channels channels;
    private final People people;
    private final Journal journal;
    private final MessageConfig config;
    private final Event<ChannelProven> proven;
    private final Clock clock;

    PersonChannels(Database database, Channels channels, People people, Journal journal, MessageConfig config, Event<ChannelProven> proven,
            Clock clock) {
        this.database = database;
        this.channels = channels;
        this.people = people;
        this.journal = journal;
        this.config = config;
        this.proven = proven;
        this.clock = clock;
    }

    private <T> T on(Database.Work<T> work) {
        return database.get(FAILURE, work);
    }

    private void run(Database.Step step) {
        database.run(FAILURE, step);
    }

    /** Of those who change one person's channels, or the proofs of them, one goes on at a time. */
    void lock(long personId) {
        run(connection -> PersonChannelTable.lockPerson(connection, personId));
    }

    /** In the order in which they are tried, also those of a kind that is not set up here at present. */
    public List<PersonChannel> of(long personId) {
        return of(List.of(personId)).getOrDefault(personId, List.of());
    }

    /** By person; nobody without a channel is in it. */
    public Map<Long, List<PersonChannel>> of(Collection<Long> personIds) {
        return personIds.isEmpty() ? Map.of()
                : on(connection -> PersonChannelTable.ofPeople(connection, personIds)).stream()
                        .collect(Collectors.groupingBy(PersonChannel::personId));
    }

    /** In the order in which they are tried, without those whose kind is not set up. */
    public List<PersonChannel> usable(long personId) {
        return of(personId).stream().filter(this::isUsable).toList();
    }

    /** Whether its kind is set up here. */
    public boolean isUsable(PersonChannel channel) {
        return channels.isOffered(channel.kind());
    }

    /** Whether there is any way to tell this person. */
    public boolean isReachable(long personId) {
        return !usable(personId).isEmpty();
    }

    /** Those of them whom there is any way to tell. */
    public Set<Long> reachable(Collection<Long> personIds) {
        return of(personIds).entrySet().stream().filter(it -> it.getValue().stream().anyMatch(channel -> channels.isOffered(channel.kind())))
                .map(Map.Entry::getKey).collect(Collectors.toSet());
    }

    /** Whether its person has shown that it reaches them, and not too long ago. */
    public boolean isProven(PersonChannel channel) {
        return Route.isProven(channel, config.proofLife(), clock.instant());
    }

    /** Of these, in this order, those by which an alarm goes at first; nothing of a kind that is not set up. */
    public List<PersonChannel> alarmGoesBy(List<PersonChannel> inOrder) {
        return Route.first(Purpose.ALARM, inOrder.stream().filter(this::isUsable).toList(), config.proofLife(), clock.instant());
    }

    /** Those of them who have a channel that can be used and is proven. */
    public Set<Long> provenAmong(Collection<Long> personIds) {
        return of(personIds).values().stream().flatMap(List::stream).filter(it -> isUsable(it) && isProven(it)).map(PersonChannel::personId)
                .collect(Collectors.toSet());
    }

    /**
     * Adds a channel, last in the person's order and not proven; one that they have already stays as it is.
     *
     * @throws AddressRefused with what would be right
     */
    public PersonChannel add(long personId, String kind, String entered, By by) {
        String address = channels.address(kind, entered);
        Contact person = people.contact(personId);
        lock(personId);
        Optional<PersonChannel> had = named(personId, kind, address);
        if (had.isPresent()) {
            return had.get();
        }
        if (of(personId).size() >= MOST) {
            throw new AddressRefused("would be one too many: take another away first, " + MOST + " are the most");
        }
        run(connection -> PersonChannelTable.add(connection, personId, kind, address, false, by.at()));
        journal.append(entry("channel-added", person, kind, by));
        return named(personId, kind, address).orElseThrow();
    }

    /** Why this one of all that a person has cannot be taken away; empty where it can. Goes on after what it is called. */
    public static Optional<String> whyKept(List<PersonChannel> all, PersonChannel channel) {
        return channel.followsSignIn() ? Optional.of("is the mail address of the register, and changes there")
                : all.size() == 1 ? Optional.of("is their only one: add another first") : Optional.empty();
    }

    /**
     * Removes what can be removed; what is not there is as if it had been.
     *
     * @return why it was not; empty where it is gone
     */
    public Optional<String> remove(long personId, long channelId, By by) {
        lock(personId);
        List<PersonChannel> all = of(personId);
        Optional<PersonChannel> found = all.stream().filter(it -> it.id() == channelId).findFirst();
        Optional<String> kept = found.flatMap(it -> whyKept(all, it));
        if (found.isPresent() && kept.isEmpty()) {
            run(connection -> PersonChannelTable.remove(connection, channelId));
            journal.append(entry("channel-removed", people.contact(personId), found.get().kind(), by));
        }
        return kept;
    }

    /**
     * So many places on in the order, back where negative; no further than its ends.
     *
     * @return false when there is no such channel
     */
    public boolean move(long personId, long channelId, int places, By by) {
        lock(personId);
        List<Long> order = new ArrayList<>(of(personId).stream().map(PersonChannel::id).toList());
        if (!order.remove(channelId)) {
            return false;
        }
        int before = of(personId).stream().map(PersonChannel::id).toList().indexOf(channelId);
        order.add(Math.max(0, Math.min(order.size(), before + places)), channelId);
        return order(personId, order, by);
    }

    /**
     * Puts them into this order.
     *
     * @return false when these are not the person's channels, each once
     */
    public boolean order(long personId, List<Long> channelIds, By by) {
        lock(personId);
        List<PersonChannel> had = of(personId);
        List<Long> before = had.stream().map(PersonChannel::id).toList();
        if (channelIds.size() != before.size() || !new HashSet<>(channelIds).equals(new HashSet<>(before))) {
            return false;
        }
        if (!channelIds.equals(before)) {
            run(connection -> {
                for (int place = 0; place < channelIds.size(); place++) {
                    PersonChannelTable.place(connection, channelIds.get(place), place + 1);
                }
            });
            String first = had.stream().filter(it -> it.id() == channelIds.get(0)).findFirst().orElseThrow().kind();
            journal.append(entry("channels-ordered", people.contact(personId), first, by));
        }
        return true;
    }

    /**
     * Its person has shown that it reaches them.
     *
     * @return false when it is not there any more, or has another address
     */
    public boolean proven(PersonChannel channel, ProofAnswer answer, By by) {
        boolean isSame = on(connection -> PersonChannelTable.proven(connection, channel.id(), channel.address(), answer, by.at()));
        if (isSame) {
            journal.append(entry("channel-proven", people.contact(channel.personId()), channel.kind(), by).with("answer", answer));
            proven.fire(new ChannelProven(channel.id(), by.at()));
        }
        return isSame;
    }

    /** One of this person. */
    public Optional<PersonChannel> find(long personId, long channelId) {
        return of(personId).stream().filter(it -> it.id() == channelId).findFirst();
    }

    private Optional<PersonChannel> named(long personId, String kind, String address) {
        return of(personId).stream().filter(it -> it.kind().equals(kind) && it.address().equals(address)).findFirst();
    }

    /** The register's mail address is a channel, kept true in the transaction that changes it. */
    void edited(@Observes Edited edited) {
        if (!edited.thing().equals("person")) {
            return;
        }
        Instant now = edited.by().at();
        Optional<String> mail = people.contact(edited.id()).mail();
        run(connection -> {
            if (edited.verb().equals("erased")) {
                PersonChannelTable.removeAll(connection, edited.id());
            } else if (mail.isEmpty()) {
                PersonChannelTable.removeSignIn(connection, edited.id());
            } else {
                follow(connection, edited.id(), mail.get(), now);
            }
        });
    }

    private void follow(Connection connection, long personId, String mail, Instant now) throws SQLException {
        List<PersonChannel> has = PersonChannelTable.ofPeople(connection, List.of(personId));
        if (has.stream().anyMatch(it -> it.followsSignIn() && it.address().equals(mail))) {
            return;
        }
        if (has.stream().anyMatch(it -> it.kind().equals(MailByChannel.KIND) && it.address().equals(mail))) {
            PersonChannelTable.removeSignIn(connection, personId);
            PersonChannelTable.follow(connection, personId, mail);
        } else if (!PersonChannelTable.moveSignIn(connection, personId, mail)) {
            PersonChannelTable.add(connection, personId, MailByChannel.KIND, mail, true, now);
        }
    }

    /** {@code by} is named where it is somebody else. */
    Entry entry(String kind, Contact person, String channel, By by) {
        Entry entry = Entry.of(by.at(), kind).with("person", person.reference()).with("channel", channel);
        return by.personId().isPresent() && by.personId().getAsLong() != person.personId()
                ? entry.with("by", people.contact(by.personId().getAsLong()).reference()) : entry;
    }
}
