package org.lampkeeper.telemetry;

import java.io.IOException;
import java.math.BigDecimal;
import java.nio.ByteBuffer;
import java.nio.charset.CharacterCodingException;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Optional;
import java.util.Set;

import com.fasterxml.jackson.core.JsonFactory;
import com.fasterxml.jackson.core.JsonLocation;
import com.fasterxml.jackson.core.JsonParser;
import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.core.JsonToken;
import com.fasterxml.jackson.core.StreamReadConstraints;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.telemetry.SenmlRecord.BooleanValue;
import org.lampkeeper.telemetry.SenmlRecord.DataValue;
import org.lampkeeper.telemetry.SenmlRecord.NumberValue;
import org.lampkeeper.telemetry.SenmlRecord.TextValue;
import org.lampkeeper.telemetry.SenmlRecord.Value;

/**
 * SenML JSON (RFC 8428) in general: reads a pack and applies its base fields. What the names mean is none of its business.
 * One instance reads one payload.
 */
final class SenmlRecords {

    /** Design §6. */
    static final int MOST_BYTES = 8 * 1024;
    /** Design §6. */
    static final int MOST_RECORDS = 128;
    /** RFC 8428 §4.4: the version that it defines, and the default. */
    static final int VERSION = 10;

    /** Ours: more digits than any sensor measures. */
    private static final int MOST_NUMBER_LENGTH = 64;
    /** Ours: finite as a double even after adding a base, and small enough that exact sums stay cheap. */
    private static final int LARGEST_EXPONENT = 300;
    /** Ours: records are at depth 2; the rest is for values under labels that are skipped. */
    private static final int DEEPEST = 8;

    // Without interning and the shared symbol table: labels come from outside and would stay in memory, or collide on purpose.
    private static final JsonFactory JSON = JsonFactory.builder()
            .disable(JsonFactory.Feature.INTERN_FIELD_NAMES)
            .disable(JsonFactory.Feature.CANONICALIZE_FIELD_NAMES)
            .streamReadConstraints(StreamReadConstraints.builder().maxNestingDepth(DEEPEST).maxNumberLength(2 * MOST_BYTES).build())
            .build();

    private final JsonParser json;
    private final List<SenmlRecord> records = new ArrayList<>();

    // The base fields in force; each stays until a later record states another.
    private String baseName = "";
    private BigDecimal baseTime = BigDecimal.ZERO;
    private Optional<String> baseUnit = Optional.empty();
    private Optional<BigDecimal> baseValue = Optional.empty();
    private Optional<BigDecimal> baseSum = Optional.empty();
    private int version = VERSION;

    private BigDecimal lastSeconds = BigDecimal.ZERO;
    private @Nullable SenmlTime lastTime;

    private SenmlRecords(JsonParser json) {
        this.json = json;
    }

    /** The resolved records in the order of the pack; at least one. */
    static List<SenmlRecord> resolve(byte[] payload) throws RefusedException {
        if (payload.length > MOST_BYTES) {
            throw new RefusedException(Reason.TOO_LARGE, "payload of " + payload.length + " bytes, must be at most " + MOST_BYTES);
        }
        try (JsonParser json = JSON.createParser(textOf(payload))) {
            return new SenmlRecords(json).pack();
        } catch (JsonProcessingException e) {
            JsonLocation at = e.getLocation();
            String place = at == null ? "" : " at column " + at.getColumnNr() + " of line " + at.getLineNr();
            throw new RefusedException(Reason.NOT_JSON, "unreadable" + place + ": " + e.getOriginalMessage());
        } catch (IOException e) {
            throw new RefusedException(Reason.NOT_JSON, "unreadable: " + e.getMessage());
        }
    }

    private static String textOf(byte[] payload) throws RefusedException {
        if (payload.length >= 3 && payload[0] == (byte) 0xEF && payload[1] == (byte) 0xBB && payload[2] == (byte) 0xBF) {
            throw new RefusedException(Reason.NOT_JSON, "starts with a byte order mark, must start with '['");
        }
        try {
            // A new decoder reports bad bytes; new String(...) would replace them and let a changed name pass.
            return StandardCharsets.UTF_8.newDecoder().decode(ByteBuffer.wrap(payload)).toString();
        } catch (CharacterCodingException e) {
            throw new RefusedException(Reason.NOT_JSON, "is not UTF-8: " + e.getMessage());
        }
    }

    private List<SenmlRecord> pack() throws IOException, RefusedException {
        JsonToken first = json.nextToken();
        if (first == null) {
            throw new RefusedException(Reason.NOT_JSON, "empty payload, must be a JSON array of SenML records");
        }
        if (first != JsonToken.START_ARRAY) {
            throw new RefusedException(Reason.NOT_SENML, "a pack must be a JSON array of records");
        }
        while (json.nextToken() != JsonToken.END_ARRAY) {
            if (records.size() == MOST_RECORDS) {
                throw new RefusedException(Reason.TOO_MANY_RECORDS,
                        "more than " + MOST_RECORDS + " records: send the backlog in several packs");
            }
            if (json.currentToken() != JsonToken.START_OBJECT) {
                throw refused(Reason.NOT_SENML, "must be a JSON object");
            }
            records.add(resolved(fields()));
        }
        if (json.nextToken() != null) {
            throw new RefusedException(Reason.NOT_JSON, "something follows the end of the pack, nothing may");
        }
        if (records.isEmpty()) {
            throw new RefusedException(Reason.NOT_SENML, "a pack without records, must have at least one");
        }
        return records;
    }

    /** The fields of one record as written. */
    private static final class Fields {
        private @Nullable String name;
        private @Nullable String unit;
        private @Nullable Value value;
        private @Nullable BigDecimal sum;
        private @Nullable BigDecimal time;
        private @Nullable BigDecimal updateTime;
        private boolean versionStated;
    }

    private Fields fields() throws IOException, RefusedException {
        Fields fields = new Fields();
        Set<String> seen = new HashSet<>();
        while (json.nextToken() != JsonToken.END_OBJECT) {
            String label = json.currentName();
            json.nextToken();
            if (!seen.add(label)) {
                throw refused(Reason.NOT_SENML, Refusal.quoted(label) + " twice, may be there once");
            }
            switch (label) {
                case "bn" -> baseName = text(label, Reason.BAD_NAME);
                case "bt" -> baseTime = number(label);
                case "bu" -> baseUnit = Optional.of(text(label, Reason.NOT_SENML));
                case "bv" -> baseValue = Optional.of(number(label));
                case "bs" -> baseSum = Optional.of(number(label));
                case "bver" -> {
                    stateVersion(number(label));
                    fields.versionStated = true;
                }
                case "n" -> fields.name = text(label, Reason.BAD_NAME);
                case "u" -> fields.unit = text(label, Reason.NOT_SENML);
                case "v" -> setValue(fields, new NumberValue(number(label)));
                case "vs" -> setValue(fields, new TextValue(text(label, Reason.NOT_SENML)));
                case "vb" -> setValue(fields, new BooleanValue(truth(label)));
                case "vd" -> setValue(fields, new DataValue(text(label, Reason.NOT_SENML)));
                case "s" -> fields.sum = number(label);
                case "t" -> fields.time = number(label);
                case "ut" -> fields.updateTime = number(label);
                default -> skipUnknown(label);
            }
        }
        return fields;
    }

    /** Base fields of the record itself count for it whatever their place among its labels, so this runs after all of them were read. */
    private SenmlRecord resolved(Fields fields) throws RefusedException {
        String name = baseName + (fields.name == null ? "" : fields.name);
        if (!isName(name)) {
            throw refused(Reason.BAD_NAME, "name " + Refusal.quoted(name)
                    + ", must start with a letter or digit and go on with those and - : . / _ only (bn and n joined)");
        }
        BigDecimal seconds = fields.time == null ? baseTime : baseTime.add(fields.time);
        SenmlTime time = timeOf(seconds);
        // RFC 8428 §4.5.4: where only one of a base and its field is there, the other counts as zero.
        Optional<Value> value = Optional.ofNullable(fields.value).map(this::onBase);
        if (value.isEmpty() && fields.sum == null) {
            value = baseValue.map(NumberValue::new);
        }
        Optional<BigDecimal> sum = fields.sum == null ? baseSum : Optional.of(fields.sum.add(baseSum.orElse(BigDecimal.ZERO)));
        if (value.isEmpty() && sum.isEmpty()) {
            throw refused(Reason.NOT_SENML, "no value, must have exactly one of v, vb, vs, vd (or s)");
        }
        return new SenmlRecord(records.size(), name, Optional.ofNullable(fields.unit).or(() -> baseUnit), value, sum, time,
                Optional.ofNullable(fields.updateTime));
    }

    /** RFC 8428 §4.5.1. Not a regular expression: it is asked of every record of every report. */
    private static boolean isName(String name) {
        for (int i = 0; i < name.length(); i++) {
            char c = name.charAt(i);
            boolean alphanumeric = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
            if (!alphanumeric && (i == 0 || "-:./_".indexOf(c) < 0)) {
                return false;
            }
        }
        return !name.isEmpty();
    }

    /** Most packs state one time for all their records, so the one before is remembered. */
    private SenmlTime timeOf(BigDecimal seconds) throws RefusedException {
        if (lastTime == null || !seconds.equals(lastSeconds)) {
            lastTime = SenmlTime.of(seconds).orElseThrow(() -> refused(Reason.BAD_NUMBER, "time " + Refusal.quoted(seconds.toString())
                    + " s (bt and t added), must be " + SenmlTime.OLDEST_RELATIVE + " to " + SenmlTime.LAST_ABSOLUTE));
            lastSeconds = seconds;
        }
        return lastTime;
    }

    private Value onBase(Value value) {
        return value instanceof NumberValue it && baseValue.isPresent() ? new NumberValue(it.number().add(baseValue.get())) : value;
    }

    private void setValue(Fields fields, Value value) throws RefusedException {
        if (fields.value != null) {
            throw refused(Reason.NOT_SENML, "more than one value, must have exactly one of v, vb, vs, vd");
        }
        fields.value = value;
    }

    private void stateVersion(BigDecimal stated) throws RefusedException {
        if (stated.signum() <= 0 || stated.stripTrailingZeros().scale() > 0) {
            throw refused(Reason.BAD_NUMBER, "bver " + Refusal.quoted(stated.toString()) + ", must be a whole number above zero");
        }
        if (stated.compareTo(BigDecimal.valueOf(VERSION)) > 0) {
            throw refused(Reason.UNKNOWN_VERSION, "bver " + Refusal.quoted(stated.toString()) + ", must be at most " + VERSION);
        }
        // RFC 8428 §4.4: one version for all records of a pack; without bver in the first record that is the default.
        if (!records.isEmpty() && stated.intValueExact() != version) {
            throw refused(Reason.NOT_SENML, "bver " + stated + " after records of version " + version + ", must be one for the whole pack");
        }
        version = stated.intValueExact();
    }

    private void skipUnknown(String label) throws IOException, RefusedException {
        // RFC 8428 §4.4: unknown labels are ignored, except those whose author said that they must be understood.
        if (label.endsWith("_")) {
            throw refused(Reason.UNKNOWN_VERSION, "label " + Refusal.quoted(label)
                    + " must be understood and is not known: leave it out, or leave out its last _ if it may be ignored");
        }
        json.skipChildren();
    }

    private String text(String label, Reason reason) throws IOException, RefusedException {
        if (json.currentToken() != JsonToken.VALUE_STRING) {
            throw refused(reason, label + " must be a string");
        }
        return json.getText();
    }

    private boolean truth(String label) throws RefusedException {
        if (!json.currentToken().isBoolean()) {
            throw refused(Reason.NOT_SENML, label + " must be true or false");
        }
        return json.currentToken() == JsonToken.VALUE_TRUE;
    }

    private BigDecimal number(String label) throws IOException, RefusedException {
        if (!json.currentToken().isNumeric()) {
            throw refused(Reason.BAD_NUMBER, label + " must be a number");
        }
        String written = json.getText();
        if (written.length() > MOST_NUMBER_LENGTH) {
            throw refused(Reason.BAD_NUMBER, label + " of " + written.length() + " characters, must be at most " + MOST_NUMBER_LENGTH);
        }
        BigDecimal number;
        try {
            number = new BigDecimal(written);
        } catch (NumberFormatException e) {
            throw outOfRange(label, written);
        }
        if (number.signum() == 0) {
            return BigDecimal.ZERO;   // 0e999999999 is zero, too, but adding to it would write a billion digits
        }
        long exponent = (long) number.precision() - number.scale() - 1;
        if (exponent < -LARGEST_EXPONENT || exponent >= LARGEST_EXPONENT) {
            throw outOfRange(label, written);
        }
        return number;
    }

    private RefusedException outOfRange(String label, String written) {
        String range = "zero, or at least 1e-" + LARGEST_EXPONENT + " and below 1e" + LARGEST_EXPONENT;
        return refused(Reason.BAD_NUMBER, label + " " + Refusal.quoted(written) + ", must be " + range);
    }

    private RefusedException refused(Reason reason, String what) {
        return new RefusedException(reason, SenmlRecord.placeOf(records.size()) + ": " + what);
    }
}
