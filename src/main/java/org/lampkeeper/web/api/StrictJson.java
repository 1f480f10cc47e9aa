package org.lampkeeper.web.api;

import java.io.IOException;
import java.io.InputStream;
import java.util.Arrays;
import java.util.Collection;
import java.util.List;
import java.util.stream.Collectors;

import jakarta.enterprise.context.ApplicationScoped;

import com.fasterxml.jackson.core.JsonLocation;
import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.core.StreamReadFeature;
import com.fasterxml.jackson.databind.DeserializationFeature;
import com.fasterxml.jackson.databind.JsonMappingException;
import com.fasterxml.jackson.databind.MapperFeature;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.databind.cfg.CoercionAction;
import com.fasterxml.jackson.databind.cfg.CoercionInputShape;
import com.fasterxml.jackson.databind.exc.InvalidFormatException;
import com.fasterxml.jackson.databind.exc.MismatchedInputException;
import com.fasterxml.jackson.databind.exc.UnrecognizedPropertyException;
import com.fasterxml.jackson.databind.json.JsonMapper;
import com.fasterxml.jackson.databind.type.LogicalType;
import com.fasterxml.jackson.datatype.jdk8.Jdk8Module;
import com.fasterxml.jackson.datatype.jsr310.JavaTimeModule;
import com.fasterxml.jackson.module.paramnames.ParameterNamesModule;

import org.lampkeeper.web.ProblemType;
import org.lampkeeper.web.Refused;
import org.lampkeeper.web.Refused.FieldError;

import static com.fasterxml.jackson.annotation.JsonInclude.Include.NON_ABSENT;

/**
 * Reads what a program sends, and takes nothing that it may not have meant: no unknown or repeated property, no text for a number. Writes
 * answers with what is absent left out. May be shared by threads.
 */
@ApplicationScoped
public class StrictJson {

    /** Ours: the longest record has some thousand characters. */
    static final int MOST_BYTES = 64 * 1024;

    private static final ObjectMapper JSON = JsonMapper.builder()
            .addModules(new Jdk8Module(), new JavaTimeModule(), new ParameterNamesModule())
            .enable(StreamReadFeature.STRICT_DUPLICATE_DETECTION)
            .enable(DeserializationFeature.FAIL_ON_UNKNOWN_PROPERTIES, DeserializationFeature.FAIL_ON_TRAILING_TOKENS,
                    DeserializationFeature.FAIL_ON_NULL_FOR_PRIMITIVES, DeserializationFeature.FAIL_ON_NUMBERS_FOR_ENUMS)
            .disable(DeserializationFeature.ACCEPT_FLOAT_AS_INT, DeserializationFeature.READ_DATE_TIMESTAMPS_AS_NANOSECONDS)
            .disable(MapperFeature.ALLOW_COERCION_OF_SCALARS)
            .disable(com.fasterxml.jackson.databind.SerializationFeature.WRITE_DATES_AS_TIMESTAMPS,
                    com.fasterxml.jackson.databind.SerializationFeature.WRITE_DURATIONS_AS_TIMESTAMPS)
            .withCoercionConfig(LogicalType.Textual, texts -> texts.setCoercion(CoercionInputShape.Integer, CoercionAction.Fail)
                    .setCoercion(CoercionInputShape.Float, CoercionAction.Fail).setCoercion(CoercionInputShape.Boolean,
                            CoercionAction.Fail))
            .withCoercionConfig(LogicalType.DateTime, times -> times.setCoercion(CoercionInputShape.Integer, CoercionAction.Fail)
                    .setCoercion(CoercionInputShape.Float, CoercionAction.Fail))
            .serializationInclusion(NON_ABSENT)
            .build();

    /** What was sent, and the bytes it was read from. */
    public record Sent<T>(T value, byte[] bytes) {
    }

    /** @throws Refused when it is too large, is not JSON, or does not fit {@code type} */
    public <T> Sent<T> read(InputStream body, Class<T> type) {
        byte[] bytes = bytes(body);
        try {
            T value = JSON.readValue(bytes, type);
            if (value == null) {
                throw new Refused(ProblemType.INVALID, "The body is null, must be an object.", List.of(new FieldError("#",
                        "is null, must be an object")));
            }
            return new Sent<>(value, bytes);
        } catch (JsonMappingException e) {
            throw misfit(e);
        } catch (JsonProcessingException e) {
            throw unreadable(e);
        } catch (IOException e) {
            throw new IllegalStateException("a body that is in memory could not be read", e);
        }
    }

    /** For a request that need not say anything beside its address. */
    <T> Sent<T> readOrNothing(InputStream body, Class<T> type, T nothing) {
        byte[] bytes = bytes(body);
        boolean isNothing = new String(bytes, java.nio.charset.StandardCharsets.UTF_8).isBlank();
        return isNothing ? new Sent<>(nothing, bytes) : read(new java.io.ByteArrayInputStream(bytes), type);
    }

    /** For a request that has nothing to say beside its address. */
    Sent<String> readNothing(InputStream body) {
        byte[] bytes = bytes(body);
        String text = new String(bytes, java.nio.charset.StandardCharsets.UTF_8).strip();
        if (!text.isEmpty() && !text.equals("{}")) {
            throw new Refused(ProblemType.INVALID, "This takes no body: leave it out, or send {}.", List.of(new FieldError("#",
                    "must be left out, or {}")));
        }
        return new Sent<>("", bytes);
    }

    public String write(Object answer) {
        try {
            return JSON.writeValueAsString(answer);
        } catch (JsonProcessingException e) {
            throw new IllegalStateException("an answer could not be written as JSON: " + answer.getClass(), e);
        }
    }

    private static byte[] bytes(InputStream body) {
        try {
            byte[] bytes = body.readNBytes(MOST_BYTES + 1);
            if (bytes.length > MOST_BYTES) {
                throw new Refused(ProblemType.TOO_LARGE, "The body has more than " + MOST_BYTES + " bytes.");
            }
            return bytes;
        } catch (IOException e) {
            throw new Refused(ProblemType.UNREADABLE, "The body ended before its end: " + e.getMessage());
        }
    }

    private static Refused unreadable(JsonProcessingException e) {
        JsonLocation at = e.getLocation();
        String where = at == null ? "" : "line " + at.getLineNr() + ", column " + at.getColumnNr() + ": ";
        // The mapper's own words about nothing, or too much, name the classes of the program.
        String what = !(e instanceof JsonMappingException) ? e.getOriginalMessage()
                : e.getOriginalMessage().startsWith("No content") ? "there is nothing" : "there is more behind the end of the object";
        return new Refused(ProblemType.UNREADABLE, where + what);
    }

    private static Refused misfit(JsonMappingException e) {
        if (e.getCause() instanceof JsonProcessingException broken && !(broken instanceof JsonMappingException)) {
            return unreadable(broken);
        }
        if (!(e instanceof MismatchedInputException) || e.getPath().isEmpty() && !isOfAnotherKind(e)) {
            return unreadable(e);
        }
        String pointer = pointer(e.getPath());
        String detail = detail((MismatchedInputException) e);
        return new Refused(ProblemType.INVALID, pointer + " " + detail + ".", List.of(new FieldError(pointer, detail)));
    }

    /** As opposed to nothing at all, or something behind the end. */
    private static boolean isOfAnotherKind(JsonMappingException e) {
        return !e.getOriginalMessage().startsWith("No content") && !e.getOriginalMessage().startsWith("Trailing token");
    }

    private static String detail(MismatchedInputException e) {
        if (e instanceof UnrecognizedPropertyException unknown) {
            Collection<Object> known = unknown.getKnownPropertyIds();
            return "is not known here, known are " + known.stream().map(Object::toString).sorted().collect(Collectors.joining(", "));
        }
        Class<?> target = e.getTargetType();
        String found = e instanceof InvalidFormatException format ? "is " + quoted(format.getValue()) + ", must be " : "must be ";
        if (target == null) {
            return found + "of another kind";
        }
        if (target.isEnum()) {
            return found + Arrays.stream(target.getEnumConstants()).map(Object::toString).collect(Collectors.joining(" or "));
        }
        if (target == String.class) {
            return found + "text";
        }
        if (Number.class.isAssignableFrom(target) || target == int.class || target == long.class) {
            return found + (target == Double.class ? "a number" : "a whole number");
        }
        if (target == Boolean.class || target == boolean.class) {
            return found + "true or false";
        }
        if (target == java.time.Instant.class) {
            return found + "a time like 2026-11-25T02:41:00Z";
        }
        return found + (Collection.class.isAssignableFrom(target) ? "a list" : "an object");
    }

    private static String quoted(Object value) {
        String text = String.valueOf(value);
        return "\"" + (text.length() > 60 ? text.substring(0, 59) + "…" : text) + "\"";
    }

    /** RFC 6901, section 6: each step behind a slash, ~ as ~0 and / as ~1. */
    static String pointer(List<JsonMappingException.Reference> path) {
        return "#" + path.stream().map(step -> step.getFieldName() == null ? "" + step.getIndex()
                : step.getFieldName().replace("~", "~0").replace("/", "~1")).map(step -> "/" + step).collect(Collectors.joining());
    }
}
