package org.lampkeeper.telemetry;

import java.math.BigDecimal;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Optional;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

import org.lampkeeper.telemetry.SenmlRecord.BooleanValue;
import org.lampkeeper.telemetry.SenmlRecord.DataValue;
import org.lampkeeper.telemetry.SenmlRecord.NumberValue;
import org.lampkeeper.telemetry.SenmlRecord.TextValue;
import org.lampkeeper.telemetry.SenmlRecord.Value;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.catchThrowableOfType;

class SenmlRecordsTest {

    private static final String DEVICE = "urn:dev:ow:10e2073a01080063";

    @Test
    void singleDatapointOfTheRfc() throws RefusedException {   // RFC 8428 §5.1.1
        List<SenmlRecord> records = resolve("[{\"n\":\"urn:dev:ow:10e2073a01080063\",\"u\":\"Cel\",\"v\":23.1}]");

        assertThat(records).containsExactly(new SenmlRecord(0, DEVICE, Optional.of("Cel"), number("23.1"), Optional.empty(), fromNow(0),
                Optional.empty()));
    }

    @Test
    void multipleDatapointsOfTheRfc() throws RefusedException {   // RFC 8428 §5.1.2, first example
        List<SenmlRecord> records = resolve("""
                [{"bn":"urn:dev:ow:10e2073a01080063:","n":"voltage","u":"V","v":120.1},
                 {"n":"current","u":"A","v":1.2}]""");

        assertThat(records).extracting(SenmlRecord::name).containsExactly(DEVICE + ":voltage", DEVICE + ":current");
        assertThat(records).extracting(SenmlRecord::unit).containsExactly(Optional.of("V"), Optional.of("A"));
        assertThat(records).extracting(SenmlRecord::value).containsExactly(number("120.1"), number("1.2"));
    }

    @Test
    void baseTimeBaseUnitAndVersionOfTheRfc() throws RefusedException {   // RFC 8428 §5.1.2, second example
        List<SenmlRecord> records = resolve("""
                [{"bn":"urn:dev:ow:10e2073a0108006:","bt":1.276020076001e+09,"bu":"A","bver":5,"n":"voltage","u":"V","v":120.1},
                 {"n":"current","t":-5,"v":1.2},{"n":"current","t":-4,"v":1.3},{"n":"current","t":-3,"v":1.4},
                 {"n":"current","t":-2,"v":1.5},{"n":"current","t":-1,"v":1.6},{"n":"current","v":1.7}]""");

        assertThat(records).extracting(SenmlRecord::time).containsExactly(
                at("2010-06-08T18:01:16.001Z"), at("2010-06-08T18:01:11.001Z"), at("2010-06-08T18:01:12.001Z"),
                at("2010-06-08T18:01:13.001Z"), at("2010-06-08T18:01:14.001Z"), at("2010-06-08T18:01:15.001Z"),
                at("2010-06-08T18:01:16.001Z"));
        assertThat(records).extracting(it -> it.unit().orElseThrow()).containsExactly("V", "A", "A", "A", "A", "A", "A");
        assertThat(records).extracting(SenmlRecord::value).containsExactly(
                number("120.1"), number("1.2"), number("1.3"), number("1.4"), number("1.5"), number("1.6"), number("1.7"));
    }

    @Test
    void multipleMeasurementsOfTheRfc() throws RefusedException {   // RFC 8428 §5.1.3; as resolved there in §5.1.4
        List<SenmlRecord> records = resolve("""
                [{"bn":"urn:dev:ow:10e2073a01080063","bt":1.320067464e+09,"bu":"%RH","v":20},
                 {"u":"lon","v":24.30621},{"u":"lat","v":60.07965},
                 {"t":60,"v":20.3},{"u":"lon","t":60,"v":24.30622},{"u":"lat","t":60,"v":60.07965},
                 {"t":120,"v":20.7},{"u":"lon","t":120,"v":24.30623},{"u":"lat","t":120,"v":60.07966},
                 {"u":"%EL","t":150,"v":98},
                 {"t":180,"v":21.2},{"u":"lon","t":180,"v":24.30628},{"u":"lat","t":180,"v":60.07967}]""");

        assertThat(records).hasSize(13).allSatisfy(it -> assertThat(it.name()).isEqualTo(DEVICE));
        assertThat(records).extracting(it -> it.unit().orElseThrow()).containsExactly(
                "%RH", "lon", "lat", "%RH", "lon", "lat", "%RH", "lon", "lat", "%EL", "%RH", "lon", "lat");
        assertThat(records).extracting(it -> ((SenmlTime.Absolute) it.time()).at().getEpochSecond()).containsExactly(
                1320067464L, 1320067464L, 1320067464L, 1320067524L, 1320067524L, 1320067524L, 1320067584L, 1320067584L, 1320067584L,
                1320067614L, 1320067644L, 1320067644L, 1320067644L);
        assertThat(records.get(12).value()).isEqualTo(number("60.07967"));
    }

    @Test
    void multipleDataTypesOfTheRfc() throws RefusedException {   // RFC 8428 §5.1.5
        List<SenmlRecord> records = resolve("""
                [{"bn":"urn:dev:ow:10e2073a01080063:","n":"temp","u":"Cel","v":23.1},
                 {"n":"label","vs":"Machine Room"},{"n":"open","vb":false},{"n":"nfc-reader","vd":"aGkgCg"}]""");

        assertThat(records).extracting(SenmlRecord::value).containsExactly(number("23.1"), Optional.of(new TextValue("Machine Room")),
                Optional.of(new BooleanValue(false)), Optional.of(new DataValue("aGkgCg")));
    }

    @Test
    void baseFieldsStayUntilTheNextOnesAndUpdateTimeDoesNot() throws RefusedException {
        List<SenmlRecord> records = resolve("""
                [{"bn":"a:","bt":1790000000,"bu":"V","n":"x","v":1,"ut":60},
                 {"n":"y","v":2},
                 {"n":"z","v":3,"bn":"b:","bt":1790000100,"bu":"A"},
                 {"n":"x","v":4,"t":-1}]""");

        assertThat(records).extracting(SenmlRecord::name).containsExactly("a:x", "a:y", "b:z", "b:x");
        assertThat(records).extracting(it -> it.unit().orElseThrow()).containsExactly("V", "V", "A", "A");
        assertThat(records).extracting(it -> ((SenmlTime.Absolute) it.time()).at().getEpochSecond())
                .containsExactly(1790000000L, 1790000000L, 1790000100L, 1790000099L);
        assertThat(records).extracting(SenmlRecord::updateTime)
                .containsExactly(Optional.of(new BigDecimal(60)), Optional.empty(), Optional.empty(), Optional.empty());
    }

    @Test
    void baseValueAndBaseSumAreAddedAndAMissingPartnerIsZero() throws RefusedException {   // RFC 8428 §4.5.4
        List<SenmlRecord> records = resolve("""
                [{"bn":"a","bv":20.1,"v":0.2},{"v":-0.1},{"vb":true},{"n":"x"},{"bs":100,"s":5},{"n":"y"}]""");

        assertThat(records).extracting(SenmlRecord::value).containsExactly(number("20.3"), number("20.0"),
                Optional.of(new BooleanValue(true)), number("20.1"), Optional.empty(), number("20.1"));
        assertThat(records).extracting(SenmlRecord::sum).containsExactly(Optional.empty(), Optional.empty(), Optional.empty(),
                Optional.empty(), Optional.of(new BigDecimal(105)), Optional.of(new BigDecimal(100)));
    }

    @ParameterizedTest
    @CsvSource({   // RFC 8428 §4.5.3: below 2^28 = 268435456 relative; our ends of both ranges
        "-268435456, -PT74565H24M16S, ",
        "-0.5, -PT0.5S, ",
        "0, PT0S, ",
        "268435455, PT74565H24M15S, ",
        "268435456, , 1978-07-04T21:24:16Z",
        "1790000000.123456, , 2026-09-21T14:13:20.123456Z",
        "1790000000.1234564, , 2026-09-21T14:13:20.123456Z",
        "1.790000000123457e9, , 2026-09-21T14:13:20.123457Z",
        "1790000000.1, , 2026-09-21T14:13:20.100Z",
        "253402300799, , 9999-12-31T23:59:59Z"})
    void timesAreReadFromTheirDigits(String seconds, Duration relative, Instant absolute) throws RefusedException {
        SenmlTime expected = relative == null ? new SenmlTime.Absolute(absolute) : new SenmlTime.Relative(relative);

        assertThat(resolve("[{\"n\":\"a\",\"v\":1,\"t\":" + seconds + "}]").get(0).time()).isEqualTo(expected);
        assertThat(resolve("[{\"n\":\"a\",\"v\":1,\"bt\":" + seconds + "}]").get(0).time()).isEqualTo(expected);
    }

    @ParameterizedTest
    @ValueSource(strings = {"-268435456.1", "253402300799.1", "1e299", "-1e299"})
    void timesOutsideOfTheRangesAreRefused(String seconds) {
        assertThat(refusal("[{\"n\":\"a\",\"v\":1,\"t\":" + seconds + "}]").reason()).isEqualTo(Reason.BAD_NUMBER);
    }

    @ParameterizedTest
    @ValueSource(strings = {"1e999", "-1e999", "1e300", "9.9e-301", "1e2147483648", "1e-99999999999", "\"NaN\"", "\"1\"", "null", "true",
        "[1]", "11111111111111111111111111111111111111111111111111111111111111111"})
    void unusableNumbersAreRefusedWithTheirRecord(String number) {
        Refusal refusal = refusal("[{\"n\":\"a\",\"v\":1},{\"n\":\"b\",\"v\":" + number + "}]");

        assertThat(refusal.reason()).isEqualTo(Reason.BAD_NUMBER);
        assertThat(refusal.detail()).startsWith("record[1]: v ");
    }

    @ParameterizedTest
    @CsvSource({"9.9e299, 9.9E+299", "1e-300, 1E-300", "0e999999999, 0", "1E2, 1E+2", "9007199254740993, 9007199254740993"})
    void usableNumbersKeepTheirValue(String number, BigDecimal expected) throws RefusedException {
        assertThat(resolve("[{\"n\":\"a\",\"v\":" + number + "}]").get(0).value().orElseThrow())
                .isInstanceOfSatisfying(NumberValue.class, it -> assertThat(it.number()).isEqualByComparingTo(expected));
    }

    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {   // at most 128 records, at most 8 KiB: design §6
        "''                                        | NOT_JSON",
        "'   '                                     | NOT_JSON",
        "up                                        | NOT_JSON",
        "[{\"n\":\"a\",\"v\":NaN}]                 | NOT_JSON",
        "[{\"n\":\"a\",\"v\":Infinity}]            | NOT_JSON",
        "[{\"n\":\"a\",\"v\":1}                    | NOT_JSON",
        "[{\"n\":\"a\",\"v\":1}]]                  | NOT_JSON",
        "[{\"n\":\"a\",\"v\":1}] []                | NOT_JSON",
        "[{\"n\":\"a\",\"v\":1},]                  | NOT_JSON",
        "[{\"n\":\"a\",\"v\":01}]                  | NOT_JSON",
        "[{\"n\":\"a\",\"v\":1,\"x\":[[[[[[[1]]]]]]]}] | NOT_JSON",
        "[]                                        | NOT_SENML",
        "{}                                        | NOT_SENML",
        "\"[]\"                                    | NOT_SENML",
        "[1]                                       | NOT_SENML",
        "[[]]                                      | NOT_SENML",
        "[null]                                    | NOT_SENML",
        "[{\"n\":\"a\"}]                           | NOT_SENML",
        "[{\"n\":\"a\",\"v\":1,\"vb\":true}]       | NOT_SENML",
        "[{\"n\":\"a\",\"v\":1,\"v\":1}]           | NOT_SENML",
        "[{\"n\":\"a\",\"v\":1,\"x\":1,\"x\":2}]   | NOT_SENML",
        "[{\"n\":\"a\",\"vb\":\"true\"}]           | NOT_SENML",
        "[{\"n\":\"a\",\"vb\":1}]                  | NOT_SENML",
        "[{\"n\":\"a\",\"vs\":1}]                  | NOT_SENML",
        "[{\"n\":\"a\",\"u\":1,\"v\":1}]           | NOT_SENML",
        "[{\"n\":\"a\",\"v\":1},{\"n\":\"a\",\"v\":1,\"bver\":9}] | NOT_SENML",
        "[{\"n\":1,\"v\":1}]                       | BAD_NAME",
        "[{\"bn\":null,\"n\":\"a\",\"v\":1}]       | BAD_NAME",
        "[{\"v\":1}]                               | BAD_NAME",
        "[{\"n\":\"_a\",\"v\":1}]                  | BAD_NAME",
        "[{\"bn\":\":\",\"n\":\"a\",\"v\":1}]      | BAD_NAME",
        "[{\"n\":\"a b\",\"v\":1}]                 | BAD_NAME",
        "[{\"n\":\"a';drop table sensor;--\",\"v\":1}] | BAD_NAME",
        "[{\"n\":\"gr\u00fcn\",\"v\":1}]           | BAD_NAME",
        "[{\"n\":\"a\",\"v\":1,\"bver\":11}]       | UNKNOWN_VERSION",
        "[{\"n\":\"a\",\"v\":1,\"must_\":1}]       | UNKNOWN_VERSION",
        "[{\"n\":\"a\",\"v\":1,\"bver\":0}]        | BAD_NUMBER",
        "[{\"n\":\"a\",\"v\":1,\"bver\":9.5}]      | BAD_NUMBER",
        "[{\"n\":\"a\",\"v\":1,\"bver\":\"10\"}]   | BAD_NUMBER",
        "[{\"n\":\"a\",\"v\":1,\"ut\":true}]       | BAD_NUMBER"})
    void whatIsNotAPackIsRefused(String payload, Reason expected) {
        assertThat(refusal(payload).reason()).isEqualTo(expected);
    }

    @ParameterizedTest
    @ValueSource(strings = {
        "[{\"n\":\"a\",\"v\":1,\"bver\":10}]",
        "[{\"n\":\"a\",\"v\":1,\"bver\":9},{\"n\":\"a\",\"v\":1,\"bver\":9}]",
        "[{\"n\":\"a\",\"v\":1,\"may\":{\"be\":[1,{\"any\":null}]}}]",
        "[{\"n\":\"a\",\"v\":1,\"x\":[[[[[[1]]]]]]}]",
        "[{\"n\":\"a\",\"v\":1,\"_x\":1e999}]",
        "[{\"n\":\"a\",\"s\":1}]",
        "[{\"n\":\"0-:./_Zz\",\"v\":1}]",
        " [ {\"\\u006e\":\"a\",\"v\":1} ]\n"})
    void whatIsOnTheRightSideIsRead(String payload) throws RefusedException {
        assertThat(resolve(payload)).isNotEmpty();
    }

    @Test
    void recordsAreCountedToTheLast() throws RefusedException {
        String record = "{\"n\":\"a\",\"v\":1}";

        assertThat(resolve("[" + (record + ",").repeat(127) + record + "]")).hasSize(128);
        assertThat(refusal("[" + (record + ",").repeat(128) + record + "]").reason()).isEqualTo(Reason.TOO_MANY_RECORDS);
    }

    @Test
    void bytesAreCountedToTheLast() throws RefusedException {
        String record = "[{\"n\":\"a\",\"v\":1}]";

        assertThat(resolve(record + " ".repeat(8192 - record.length()))).hasSize(1);
        assertThat(refusal(record + " ".repeat(8193 - record.length())).reason()).isEqualTo(Reason.TOO_LARGE);
        assertThat(refusal("[".repeat(1_000_000)).reason()).isEqualTo(Reason.TOO_LARGE);
    }

    @Test
    void deepNestingIsRefusedBeforeItFillsTheStack() {
        assertThat(refusal("[".repeat(8000)).reason()).isEqualTo(Reason.NOT_SENML);
        assertThat(refusal("[{\"x\":" + "[".repeat(8000)).reason()).isEqualTo(Reason.NOT_JSON);
    }

    @Test
    void onlyCleanUtf8IsRead() {
        byte[] pack = "[{\"n\":\"a\",\"v\":1}]".getBytes(StandardCharsets.UTF_8);
        byte[] marked = ("\uFEFF" + "[{\"n\":\"a\",\"v\":1}]").getBytes(StandardCharsets.UTF_8);
        byte[] broken = pack.clone();
        broken[7] = (byte) 0xFF;
        byte[] wide = "[{\"n\":\"a\",\"v\":1}]".getBytes(StandardCharsets.UTF_16LE);

        assertThat(List.of(refusal(marked), refusal(broken), refusal(wide))).extracting(Refusal::reason).containsOnly(Reason.NOT_JSON);
        assertThat(refusal(marked).detail()).contains("byte order mark");
    }

    @Test
    void aRefusalCanBeStoredAndLoggedWhateverThePackSaid() {
        Refusal refusal = refusal("[{\"n\":\"\\u0000\\ud800\\n" + "x".repeat(5000) + "\",\"v\":1}]");

        assertThat(refusal.detail()).matches("[ -~]{1,400}").startsWith("record[0]: name '???xxx").contains("must start with");
        assertThat(new Refusal(Reason.NOT_JSON, "a".repeat(401)).detail()).hasSize(400).endsWith("...");
        assertThat(Refusal.sampleOf("a\u0000\u00fc\n".getBytes(StandardCharsets.UTF_8))).isEqualTo("a????");
        assertThat(Refusal.sampleOf(new byte[3000])).hasSize(2000);
    }

    @Test
    void wordsOfReasonsFitTheirColumn() {
        assertThat(Reason.values()).extracting(Reason::word).doesNotHaveDuplicates().contains("not-json", "base-name-disagrees")
                .allSatisfy(word -> assertThat(word).matches("[a-z-]{1,32}"));
    }

    private static List<SenmlRecord> resolve(String payload) throws RefusedException {
        return SenmlRecords.resolve(payload.getBytes(StandardCharsets.UTF_8));
    }

    private static Refusal refusal(String payload) {
        return refusal(payload.getBytes(StandardCharsets.UTF_8));
    }

    private static Refusal refusal(byte[] payload) {
        RefusedException refused = catchThrowableOfType(RefusedException.class, () -> SenmlRecords.resolve(payload));
        assertThat(refused).as("refusal").isNotNull();
        return refused.refusal();
    }

    private static Optional<Value> number(String digits) {
        return Optional.of(new NumberValue(new BigDecimal(digits)));
    }

    private static SenmlTime at(String instant) {
        return new SenmlTime.Absolute(Instant.parse(instant));
    }

    private static SenmlTime fromNow(long seconds) {
        return new SenmlTime.Relative(Duration.ofSeconds(seconds));
    }
}
