package org.lampkeeper.web.api;

import java.time.ZoneId;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.stream.Collectors;

import org.jspecify.annotations.Nullable;

import org.lampkeeper.register.NotRegistered;
import org.lampkeeper.register.Problem;
import org.lampkeeper.register.TimeZones;
import org.lampkeeper.web.ProblemType;
import org.lampkeeper.web.Refused;
import org.lampkeeper.web.Refused.FieldError;

/**
 * Takes over the properties of one object that was sent and remembers what is missing, so that everything that is wrong is told at once.
 * What is returned for something missing must not be used: {@link #refuseIfWrong} comes first.
 */
final class Fields {

    private static final int LONGEST_REASON = 400;

    private final List<FieldError> errors = new ArrayList<>();

    /** The register's own rule for an empty text says what would be right. */
    String text(@Nullable String value) {
        return value == null ? "" : value;
    }

    long id(String name, @Nullable Long value) {
        return required(name, value, 0L);
    }

    int whole(String name, @Nullable Integer value) {
        return required(name, value, 0);
    }

    static OptionalInt optional(@Nullable Integer value) {
        return value == null ? OptionalInt.empty() : OptionalInt.of(value);
    }

    <T> T required(String name, @Nullable T value, T inPlace) {
        if (value == null) {
            wrong(name, "is missing");
            return inPlace;
        }
        return value;
    }

    ZoneId zone(String name, @Nullable String value) {
        return Optional.ofNullable(value).flatMap(TimeZones::named).orElseGet(() -> {
            wrong(name, (value == null ? "is missing" : "is \"" + shortened(value) + "\"")
                    + ", must be an IANA time zone like Europe/London");
            return ZoneOffset.UTC;
        });
    }

    /** Why something is held back; as wide as its column. */
    String reason(@Nullable String value) {
        String reason = text(value);
        if (reason.isBlank() || reason.length() > LONGEST_REASON) {
            wrong("reason", reason.isBlank() ? "is empty, must say why" : "has " + reason.length() + " characters, must have 1 to "
                    + LONGEST_REASON);
        }
        return reason;
    }

    /** {@code field}: names joined by dots, as in {@link Problem#field()}. */
    Fields wrong(String field, String detail) {
        errors.add(new FieldError(pointer(field), detail));
        return this;
    }

    /** Adds what the register says about what was taken over; not about a field that was missing anyway. */
    Fields and(List<Problem> problems) {
        List<String> told = errors.stream().map(FieldError::pointer).toList();
        problems.stream().filter(problem -> !told.contains(pointer(problem.field()))).forEach(problem -> wrong(problem.field(),
                problem.text()));
        return this;
    }

    /** @throws Refused when anything was wrong */
    void refuseIfWrong() {
        if (!errors.isEmpty()) {
            throw refused(errors);
        }
    }

    /** One field alone. */
    static Refused refused(String field, String detail) {
        return refused(List.of(new FieldError(pointer(field), detail)));
    }

    static Refused refused(NotRegistered e) {
        return refused(e.problems().stream().map(problem -> new FieldError(pointer(problem.field()), problem.text())).toList());
    }

    private static Refused refused(List<FieldError> errors) {
        return new Refused(ProblemType.INVALID, errors.stream().map(error -> error.pointer() + " " + error.detail())
                .collect(Collectors.joining("; ")), errors);
    }

    /** The register names the quantity, a body its unit too. */
    static String pointer(String field) {
        String named = field.replaceFirst("(^|\\.)(lowest|highest)$", "$1$2Celsius").replaceFirst("(^|\\.)(after|repeatAfter)$",
                "$1$2Seconds");
        return named.isEmpty() ? "#" : "#/" + named.replace('.', '/');
    }

    private static String shortened(String value) {
        return value.length() > 60 ? value.substring(0, 59) + "…" : value;
    }
}
