package org.lampkeeper.register;

import java.util.Collection;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.function.Function;
import java.util.stream.Collectors;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.transaction.Transactional;

/** Who can be told and how they are reached. Reads as {@link Register} does. */
@ApplicationScoped
@Transactional
public class People {

    private final PersonRepository people;

    People(PersonRepository people) {
        this.people = people;
    }

    /**
     * The contact of a person that the caller knows to exist.
     *
     * @throws IllegalArgumentException when they do not; an id from outside goes to {@link #find(long)}
     */
    public Contact contact(long personId) {
        return find(personId).orElseThrow(() -> new IllegalArgumentException("person " + personId + ": not registered"));
    }

    public Optional<Contact> find(long personId) {
        return people.findByIdOptional(personId).map(Person::contact);
    }

    /** What the journal calls them; empty for nobody. */
    public Optional<String> reference(OptionalLong personId) {
        return personId.isPresent() ? find(personId.getAsLong()).map(Contact::reference) : Optional.empty();
    }

    /** Registered, and not erased since. */
    public boolean isKnown(long personId) {
        return people.count("id = ?1 AND salt IS NOT NULL", personId) > 0;
    }

    /** Those of {@code personIds} that are registered, by id; one query. */
    public Map<Long, Contact> find(Collection<Long> personIds) {
        if (personIds.isEmpty()) {
            return Map.of();
        }
        return people.list("id IN ?1", personIds).stream().map(Person::contact)
                .collect(Collectors.toUnmodifiableMap(Contact::personId, Function.identity()));
    }

    /** By name. */
    public List<Contact> all() {
        return people.list("ORDER BY name, id").stream().map(Person::contact).toList();
    }
}
