package org.lampkeeper.journal;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.time.temporal.ChronoUnit;
import java.util.Collection;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.OptionalInt;
import java.util.OptionalLong;
import java.util.SortedMap;
import java.util.TreeMap;
import java.util.UUID;
import java.util.regex.Pattern;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.ObjectMapper;

/**
 * Something that was observed, decided or told. Immutable: each call returns a further entry.
 *
 * <pre>{@code
 * Entry.of(now, "loss-confirmed").site(3).cabinet(7).alarm(12).with("since", since).with("confirmedAfter", Duration.ofSeconds(20))
 * // body: {"confirmedAfter":"PT20S","since":"2026-11-25T02:41:00Z"}
 * }</pre>
 *
 * People appear only by their reference, never by name, number or address, so that a person can be erased without breaking the chain.
 */
public final class Entry {

    private static final Pattern KIND = Pattern.compile("[a-z][a-z0-9]*(-[a-z0-9]+)*");
    /** Width of the column {@code kind}. */
    private static final int LONGEST_KIND = 48;
    /** Ours: a text of a body is cut here, so that a talkative mail server cannot stop the transaction that records a loss. */
    private static final int LONGEST_TEXT = 1000;
    /** Width of the column {@code body}. */
    private static final int LONGEST_BODY = 8000;
    private static final ObjectMapper JSON = new ObjectMapper();

    private final Instant at;
    private final String kind;
    private final OptionalLong site;
    private final OptionalLong cabinet;
    private final OptionalLong alarm;
    private final SortedMap<String, Object> facts;

    private Entry(Instant at, String kind, OptionalLong site, OptionalLong cabinet, OptionalLong alarm, SortedMap<String, Object> facts) {
        this.at = at;
        this.kind = kind;
        this.site = site;
        this.cabinet = cabinet;
        this.alarm = alarm;
        this.facts = facts;
    }

    /**
     * An entry about nothing in particular yet.
     *
     * @param at   the moment of writing it down, kept to the microsecond; when something was observed is a fact of the body
     * @param kind a past-tense phrase in lower case with hyphens, at most 48 characters: {@code loss-confirmed}
     */
    public static Entry of(Instant at, String kind) {
        if (!KIND.matcher(kind).matches() || kind.length() > LONGEST_KIND) {
            throw new IllegalArgumentException("journal kind '" + kind + "', must be lower-case words joined by hyphens, at most "
                    + LONGEST_KIND + " characters");
        }
        return new Entry(at.truncatedTo(ChronoUnit.MICROS), kind, OptionalLong.empty(), OptionalLong.empty(), OptionalLong.empty(),
                new TreeMap<>());
    }

    /** The same, about this site; 0 is the installation itself. */
    public Entry site(long id) {
        return new Entry(at, kind, OptionalLong.of(id), cabinet, alarm, facts);
    }

    public Entry cabinet(long id) {
        return new Entry(at, kind, site, OptionalLong.of(id), alarm, facts);
    }

    public Entry alarm(long id) {
        return new Entry(at, kind, site, cabinet, OptionalLong.of(id), facts);
    }

    /**
     * The same with one more fact in its body; a name given twice keeps the later value, an empty {@code Optional} adds nothing.
     *
     * @param value text (cut at 1,000 characters), a finite number, a truth value, an enum constant, an {@code Instant}, a
     *              {@code Duration}, a {@code UUID}, an {@code Optional} of these, or a collection or a map with text keys of these
     * @throws IllegalArgumentException for a value of any other type, or a number that is not finite
     */
    public Entry with(String name, Object value) {
        SortedMap<String, Object> more = new TreeMap<>(facts);
        Optional<Object> plain = plain(name, value);
        plain.ifPresent(known -> more.put(name, known));
        return new Entry(at, kind, site, cabinet, alarm, more);
    }

    private static Optional<Object> plain(String name, Object value) {
        if (value instanceof Optional<?> optional) {
            return optional.flatMap(inner -> plain(name, inner));
        }
        if (value instanceof OptionalLong optional) {
            return optional.isPresent() ? Optional.of(optional.getAsLong()) : Optional.empty();
        }
        if (value instanceof OptionalInt optional) {
            return optional.isPresent() ? Optional.of(optional.getAsInt()) : Optional.empty();
        }
        if (value instanceof OptionalDouble optional) {
            return optional.isPresent() ? plain(name, optional.getAsDouble()) : Optional.empty();
        }
        if (value instanceof CharSequence text) {
            return Optional.of(clean(text.toString()));
        }
        if (value instanceof Double number && !Double.isFinite(number)) {
            throw new IllegalArgumentException("journal fact '" + name + "' is " + number + ", must be finite");
        }
        if (value instanceof Double || value instanceof Long || value instanceof Integer || value instanceof Boolean) {
            return Optional.of(value);
        }
        if (value instanceof Enum<?> constant) {
            return Optional.of(constant.name());
        }
        if (value instanceof Instant || value instanceof Duration || value instanceof UUID) {
            return Optional.of(value.toString());
        }
        if (value instanceof Collection<?> many) {
            return Optional.of(many.stream().flatMap(one -> plain(name, one).stream()).toList());
        }
        if (value instanceof Map<?, ?> map) {
            SortedMap<String, Object> sorted = new TreeMap<>();
            map.forEach((key, one) -> plain(name, one).ifPresent(known -> sorted.put(clean(String.valueOf(key)), known)));
            return Optional.of(sorted);
        }
        throw new IllegalArgumentException("journal fact '" + name + "' is a " + value.getClass().getName()
                + ", must be text, a finite number, a truth value, a time, or a collection or map of these");
    }

    /** An unpaired surrogate has no UTF-8 form: the two databases would each make something else of it. */
    private static String clean(String text) {
        String wellFormed = new String(text.getBytes(StandardCharsets.UTF_8), StandardCharsets.UTF_8);
        if (wellFormed.length() <= LONGEST_TEXT) {
            return wellFormed;
        }
        int end = Character.isHighSurrogate(wellFormed.charAt(LONGEST_TEXT - 2)) ? LONGEST_TEXT - 2 : LONGEST_TEXT - 1;
        return wellFormed.substring(0, end) + "…";
    }

    public Instant at() {
        return at;
    }

    public String kind() {
        return kind;
    }

    public OptionalLong site() {
        return site;
    }

    public OptionalLong cabinet() {
        return cabinet;
    }

    public OptionalLong alarm() {
        return alarm;
    }

    /** One of the facts, as text; empty where it is not among them. */
    public Optional<String> fact(String name) {
        return Optional.ofNullable(facts.get(name)).map(Object::toString);
    }

    /** The facts as JSON without white space, keys sorted by their UTF-16 code units at every level. */
    String body() {
        try {
            String body = JSON.writeValueAsString(facts);
            if (body.length() > LONGEST_BODY) {
                throw new IllegalArgumentException("journal entry " + kind + ": body of " + body.length()
                        + " characters, must be at most " + LONGEST_BODY);
            }
            return body;
        } catch (JsonProcessingException impossible) {
            throw new IllegalStateException("journal entry " + kind + ": facts could not be written as JSON", impossible);
        }
    }
}
