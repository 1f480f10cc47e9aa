package org.lampkeeper.message;

import java.sql.Connection;
import java.sql.SQLException;
import java.time.Clock;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Collection;
import java.util.Collections;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.stream.Collectors;

import javax.sql.DataSource;

import jakarta.enterprise.context.ApplicationScoped;
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

    private final DataSource database;
    private final Channels channels;
    private final People people;
    private final Journal journal;
    private final MessageConfig config;
    private final Clock clock;

    PersonChannels(DataSource database, Channels channels, People people, Journal journal, MessageConfig config, Clock clock) {
        this.database = database;
        this.channels = channels;
        this.people = people;
        this.journal = journal;
        this.config = config;
        this.clock = clock;
    }

    private interface Step<T> {
        T on(Connection connection) throws SQLException;
    }

    private <T> T on(Step<T> step) {
        try (Connection connection = database.getConnection()) {
            return step.on(connection);
        } catch (SQLException failed) {
            throw new IllegalStateException("channels of people could not be read or changed", failed);
        }
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
        return of(personId).stream().filter(it -> channels.isOffered(it.kind())).toList();
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

    /**
     * Adds a channel, last in the person's order and not proven; one that they have already stays as it is.
     *
     * @throws AddressRefused with what would be right
     */
    public PersonChannel add(long personId, String kind, String entered, By by) {
        String address = channels.address(kind, entered);
        Contact person = people.contact(personId);
        Optional<PersonChannel> had = named(personId, kind, address);
        if (had.isPresent()) {
            return had.get();
        }
        on(connection -> {
            PersonChannelTable.add(connection, personId, kind, address, false, by.at());
            return true;
        });
        journal.append(entry("channel-added", person, kind, by));
        return named(personId, kind, address).orElseThrow();
    }

    /** Whether it was there and could be removed; the sign-in address is removed only by the register. */
    public boolean remove(long personId, long channelId, By by) {
        Optional<PersonChannel> found = find(personId, channelId).filter(it -> !it.followsSignIn());
        if (found.isEmpty()) {
            return false;
        }
        on(connection -> {
            PersonChannelTable.remove(connection, channelId);
            return true;
        });
        journal.append(entry("channel-removed", people.contact(personId), found.get().kind(), by));
        return true;
    }

    /** One earlier in the order; the first stays where it is. False when there is no such channel. */
    public boolean moveUp(long personId, long channelId, By by) {
        List<PersonChannel> order = new ArrayList<>(of(personId));
        int at = order.stream().map(PersonChannel::id).toList().indexOf(channelId);
        if (at < 0) {
            return false;
        }
        if (at > 0) {
            Collections.swap(order, at, at - 1);
            on(connection -> {
                for (int place = 0; place < order.size(); place++) {
                    PersonChannelTable.place(connection, order.get(place).id(), place + 1);
                }
                return true;
            });
            journal.append(entry("channel-moved", people.contact(personId), order.get(at - 1).kind(), by));
        }
        return true;
    }

    /** Its person has shown that it reaches them. */
    public boolean proven(PersonChannel channel, Optional<Boolean> ringsAtNight, By by) {
        boolean isSame = on(connection -> PersonChannelTable.proven(connection, channel.id(), channel.address(), ringsAtNight, by.at()));
        if (isSame) {
            journal.append(entry("channel-proven", people.contact(channel.personId()), channel.kind(), by));
        }
        return isSame;
    }

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
        on(connection -> {
            if (edited.verb().equals("erased")) {
                PersonChannelTable.removeAll(connection, edited.id());
            } else if (mail.isEmpty()) {
                PersonChannelTable.removeSignIn(connection, edited.id());
            } else {
                follow(connection, edited.id(), mail.get(), now);
            }
            return true;
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

    private static Entry entry(String kind, Contact person, String channel, By by) {
        return Entry.of(by.at(), kind).with("person", person.reference()).with("channel", channel);
    }
}
