package org.lampkeeper.telemetry;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Collections;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.OptionalLong;
import java.util.Random;
import java.util.regex.Pattern;

import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.IntRange;
import net.jqwik.api.constraints.Size;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import static org.assertj.core.api.Assertions.assertThat;
import static org.lampkeeper.telemetry.TelemetryFixture.BASE_NAME;
import static org.lampkeeper.telemetry.TelemetryFixture.SAMPLE;
import static org.lampkeeper.telemetry.TelemetryFixture.decode;
import static org.lampkeeper.telemetry.TelemetryFixture.decodeOurs;

class SenmlCodecTest {

    private static final Instant BASE_TIME = Instant.ofEpochSecond(1790000000);

    @Test
    void contentIsATemperatureOfItsOwn() {
        String report = "[{\"bn\":\"urn:dev:mac:0024befffe804ff1:\",\"bt\":1790000000,\"n\":\"supply\",\"vb\":true},{\"n\":\"inside\",\"u\":\"Cel\",\"v\":3.5},"
                + "{\"n\":\"content\",\"u\":\"%s\",\"v\":%s}]";

        Pack pack = (Pack) SenmlCodec.decode(report.formatted("Cel", "6.25").getBytes(StandardCharsets.UTF_8));
        Pack wrongUnit = (Pack) SenmlCodec.decode(report.formatted("K", "279").getBytes(StandardCharsets.UTF_8));
        Pack broken = (Pack) SenmlCodec.decode(report.formatted("Cel", "-127").getBytes(StandardCharsets.UTF_8));

        assertThat(pack.observations().get(0).readings().contentC()).hasValue(6.25);
        assertThat(pack.observations().get(0).readings().insideC()).hasValue(3.5);
        assertThat(wrongUnit.observations().get(0).readings().contentC()).isEmpty();
        assertThat(broken.notUsed()).singleElement().asString().contains("content '-127', must be -100 to 150");
    }

    @Test
    void theSampleOfTheReportFormatIsReadWhole() {
        Readings readings = new Readings(OptionalDouble.of(9.4), OptionalDouble.of(2.1), OptionalDouble.empty(), OptionalDouble.of(87), Optional.of(true),
                Optional.of(false));

        assertThat(decode(SAMPLE)).isEqualTo(new Pack(BASE_NAME, List.of(new Observation(new SenmlTime.Absolute(BASE_TIME), true,
                Optional.of(Duration.ofSeconds(900)), OptionalLong.of(4711), readings)), List.of()));
    }

    @Test
    void everyExampleOfTheDocumentationIsReadWhole() throws IOException {
        String page = Files.readString(Path.of("docs/report-format.md"));
        List<String> examples = Pattern.compile("```json\n(.*?)```|-m '(.*?)'", Pattern.DOTALL).matcher(page).results()
                .map(it -> it.group(1) == null ? it.group(2) : it.group(1)).toList();

        assertThat(examples).hasSize(3).allSatisfy(example -> assertThat(decode(example)).isInstanceOfSatisfying(Pack.class,
                it -> assertThat(it.notUsed()).isEmpty()));
        assertThat(examples.get(0).strip()).isEqualTo(SAMPLE);
    }

    @Test
    void supplyAloneIsEnough() {
        Observation lost = new Observation(new SenmlTime.Relative(Duration.ZERO), false, Optional.empty(), OptionalLong.empty(),
                Readings.NONE);

        assertThat(decode("[{\"bn\":\"" + BASE_NAME + "\",\"n\":\"supply\",\"vb\":false}]"))
                .isEqualTo(new Pack(BASE_NAME, List.of(lost), List.of()));
    }

    @Test
    void aNameWrittenInFullIsTheSameName() {
        assertThat(decode(SAMPLE.replace("\"bn\":\"" + BASE_NAME + "\",", "").replace("\"n\":\"", "\"n\":\"" + BASE_NAME)))
                .isEqualTo(decode(SAMPLE));
    }

    @Test
    void eachTimeBecomesOneObservationOldestFirst() {
        Pack pack = pack("""
                'n':'supply','vb':true,'ut':900},{'n':'seq','v':12},
                {'n':'supply','t':-600,'vb':true,'ut':600},{'n':'seq','t':-600,'v':10},{'n':'inside','t':-600,'u':'Cel','v':8},
                {'n':'supply','t':-30.5,'vb':false},{'n':'seq','t':-30.5,'v':11}""");

        assertThat(pack.observations()).extracting(it -> ((SenmlTime.Absolute) it.time()).at())
                .containsExactly(BASE_TIME.minusSeconds(600), BASE_TIME.minusMillis(30_500), BASE_TIME);
        assertThat(pack.observations()).extracting(Observation::supplied).containsExactly(true, false, true);
        assertThat(pack.observations()).extracting(it -> it.seq().orElseThrow()).containsExactly(10L, 11L, 12L);
        assertThat(pack.observations()).extracting(Observation::nextWithin)
                .containsExactly(Optional.of(Duration.ofSeconds(600)), Optional.empty(), Optional.of(Duration.ofSeconds(900)));
        assertThat(pack.observations()).extracting(it -> it.readings().insideC())
                .containsExactly(OptionalDouble.of(8), OptionalDouble.empty(), OptionalDouble.empty());
    }

    @Test
    void timesOfTheSameMicrosecondAreOneTime() {
        assertThat(pack("'n':'supply','vb':true,'t':0.0000001},{'n':'seq','v':1}").observations()).singleElement()
                .extracting(Observation::seq).isEqualTo(OptionalLong.of(1));
        assertThat(pack("'n':'supply','vb':true,'t':0.000001},{'n':'seq','v':1}").observations()).singleElement()
                .extracting(Observation::seq).isEqualTo(OptionalLong.empty());
    }

    @Test
    void absoluteAndRelativeTimesMayBeMixed() {
        Pack pack = pack("'n':'supply','vb':true},{'bt':0,'n':'supply','vb':false},{'n':'supply','t':-5,'vb':true}");

        assertThat(pack.observations()).extracting(Observation::time).containsExactly(new SenmlTime.Absolute(BASE_TIME),
                new SenmlTime.Relative(Duration.ofSeconds(-5)), new SenmlTime.Relative(Duration.ZERO));
    }

    @ParameterizedTest
    @CsvSource({"true, true, true", "true, false, false", "false, true, false", "false, false, false"})
    void ofTwoSuppliesAtOneTimeTheLostOneWins(boolean first, boolean second, boolean expected) {
        Pack pack = pack("'n':'supply','vb':" + first + "},{'n':'supply','vb':" + second + "}");

        assertThat(pack.observations()).singleElement().extracting(Observation::supplied).isEqualTo(expected);
    }

    @Test
    void ofTwoOtherRecordsAtOneTimeTheLaterWins() {
        Pack pack = pack("'n':'supply','vb':true},{'n':'seq','v':1},{'n':'seq','v':2},{'n':'door','vb':true},{'n':'door','vb':false}");

        assertThat(pack.observations().get(0).seq()).hasValue(2);
        assertThat(pack.observations().get(0).readings().doorOpen()).contains(false);
    }

    @ParameterizedTest
    @CsvSource(value = {"900, PT15M", "0.5, PT0.5S", "1e-12, PT0.000000001S", "1e15, PT277777H46M40S", "0, NULL", "-1, NULL"},
            nullValues = "NULL")
    void updateTimeIsThePromiseUnlessItPromisesNothing(String ut, Duration expected) {
        Pack pack = pack("'n':'supply','vb':false,'ut':" + ut + "}");

        assertThat(pack.observations().get(0).nextWithin()).isEqualTo(Optional.ofNullable(expected));
        assertThat(pack.notUsed()).hasSize(expected == null ? 1 : 0);
    }

    @Test
    void onlyTheUpdateTimeOfSupplyIsThePromise() {
        assertThat(pack("'n':'supply','vb':true},{'n':'inside','u':'Cel','v':1,'ut':60}").observations().get(0).nextWithin()).isEmpty();
    }

    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {
        "'n':'inside','u':'Cel','v':-100      | -100",
        "'n':'inside','u':'Cel','v':150       | 150",
        "'n':'inside','u':'Cel','v':-100.1    | ",
        "'n':'inside','u':'Cel','v':150.1     | ",
        "'n':'inside','u':'K','v':280         | ",
        "'n':'inside','v':9                   | ",
        "'n':'inside','u':'Cel','vs':'9'      | ",
        "'n':'inside','u':'Cel','s':9         | "}, quoteCharacter = '"')
    void aBrokenThermometerDoesNotSilenceTheSupply(String record, Double expected) {
        Pack pack = pack("'n':'supply','vb':false},{" + record + "}");

        assertThat(pack.observations()).singleElement().satisfies(it -> {
            assertThat(it.supplied()).isFalse();
            assertThat(it.readings().insideC()).isEqualTo(expected == null ? OptionalDouble.empty() : OptionalDouble.of(expected));
        });
        assertThat(pack.notUsed()).hasSize(expected == null ? 1 : 0).allSatisfy(it -> assertThat(it).startsWith("record[1]: inside "));
    }

    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {
        "'n':'battery','u':'%EL','v':100.1    | battery",
        "'n':'battery','u':'%EL','v':-0.1     | battery",
        "'n':'battery','u':'%','v':50         | battery",
        "'n':'outside','u':'Far','v':50       | outside",
        "'n':'heater','v':1                   | heater",
        "'n':'door','vs':'open'               | door",
        "'n':'seq','vb':true                  | seq",
        "'n':'seq','v':1.5                    | seq",
        "'n':'seq','v':-1                     | seq",
        "'n':'seq','v':9223372036854775808    | seq"}, quoteCharacter = '"')
    void whatCannotBeUsedIsNamedAndLeftOut(String record, String name) {
        Pack pack = pack("'n':'supply','vb':true},{" + record + "}");

        assertThat(pack.observations()).singleElement().satisfies(it -> {
            assertThat(it.readings()).isEqualTo(Readings.NONE);
            assertThat(it.seq()).isEmpty();
        });
        assertThat(pack.notUsed()).singleElement().asString().startsWith("record[1]: " + name + " ").endsWith(", not used");
    }

    @ParameterizedTest
    @CsvSource({"0", "9007199254740993", "9223372036854775807"})   // the second is 2^53 + 1, which a double cannot hold
    void theCounterIsReadToItsLastDigit(long seq) {
        assertThat(pack("'n':'supply','vb':true},{'n':'seq','v':" + seq + "}").observations().get(0).seq()).hasValue(seq);
    }

    @Test
    void readingsOfAnotherTimeThanAnySupplyAreNotUsed() {
        Pack pack = pack("'n':'supply','vb':true},{'n':'inside','t':-60,'u':'Cel','v':9}");

        assertThat(pack.observations()).singleElement().extracting(Observation::readings).isEqualTo(Readings.NONE);
        assertThat(pack.notUsed()).singleElement().asString().contains("without a supply at the same time");
    }

    @Test
    void namesAndLabelsThatAreNotOursAreIgnored() {
        Pack pack = pack("'n':'supply','vb':true,'why':'because'},{'n':'pressure','u':'Pa','v':1013},{'n':'a:b','vd':'??'},{'vs':'of bn'}");

        assertThat(pack.observations()).hasSize(1);
        assertThat(pack.notUsed()).isEmpty();
    }

    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {
        "'n':'inside','u':'Cel','v':9                                        | NO_SUPPLY",
        "'n':'Supply','vb':true                                              | NO_SUPPLY",
        "'n':'supply','v':1                                                  | NO_SUPPLY",
        "'n':'supply','vs':'true'                                            | NO_SUPPLY",
        "'n':'supply','s':1                                                  | NO_SUPPLY",
        "'n':'supply','vb':true},{'n':'supply','t':-9,'v':1                  | NO_SUPPLY",
        "'n':'supply','vb':true},{'bn':'urn:dev:mac:x:','n':'supply','vb':true | BASE_NAME_DISAGREES",
        "'n':'supply','vb':true},{'bn':'urn:dev:mac:x:','n':'noise','v':1    | BASE_NAME_DISAGREES",
        "'n':'supply','vb':1                                                 | NOT_SENML",
        "'n':'supply','vb':true,'must_':1                                    | UNKNOWN_VERSION",
        "'n':'supply','vb':true,'bver':11                                    | UNKNOWN_VERSION",
        "'n':'supply','vb':true,'ut':1e999                                   | BAD_NUMBER"}, quoteCharacter = '"')
    void aPackWithoutUsableSupplyIsRefused(String records, Reason expected) {
        assertThat(decodeOurs(records + "}")).isInstanceOfSatisfying(Refusal.class, it -> assertThat(it.reason()).isEqualTo(expected));
    }

    @ParameterizedTest
    @CsvSource({"119, false", "120, false", "121, true"})   // the register's column; the colon counts
    void aBaseNameFitsTheRegister(int length, boolean refused) {
        String baseName = "a".repeat(length - 1) + ":";

        Decoded decoded = decode("[{\"bn\":\"" + baseName + "\",\"n\":\"supply\",\"vb\":true}]");

        assertThat(decoded).isInstanceOf(refused ? Refusal.class : Pack.class);
        if (decoded instanceof Pack pack) {
            assertThat(pack.baseName()).isEqualTo(baseName);
        }
    }

    @Test
    void aNameWithoutABaseNameIsNobodys() {
        assertThat(decode("[{\"n\":\"supply\",\"vb\":true}]")).isInstanceOfSatisfying(Refusal.class,
                it -> assertThat(it.reason()).isEqualTo(Reason.NO_SUPPLY));
    }

    @Property(tries = 3000)
    void arbitraryBytesNeverThrow(@ForAll @Size(max = 300) byte[] payload) {
        assertThat(SenmlCodec.decode(payload)).isNotNull();
        assertThat(LinkWord.read(payload)).isNotNull();
    }

    @Property(tries = 5000)
    void aDamagedPackNeverThrowsAndNeverComesOutHalfRead(@ForAll @IntRange(min = 1, max = 4) int damages, @ForAll long seed) {
        Random random = new Random(seed);
        byte[] payload = SAMPLE.getBytes(StandardCharsets.UTF_8);
        for (int i = 0; i < damages; i++) {
            payload = damaged(payload, random);
        }

        Decoded decoded = SenmlCodec.decode(payload);

        if (decoded instanceof Pack pack) {
            assertThat(pack.baseName()).endsWith(":");
            assertThat(pack.observations()).isNotEmpty().isSortedAccordingTo((a, b) -> a.time().compareTo(b.time()));
        } else {
            assertThat(((Refusal) decoded).detail()).matches("[ -~]{1,400}");
        }
    }

    @Property(tries = 300)
    void theOrderOfSelfContainedRecordsDoesNotMatter(@ForAll long seed) {
        List<String> records = new ArrayList<>();
        for (int i = 0; i < 20; i++) {
            String time = ",\"t\":" + (1790000000 + i % 10) + "}";
            records.add(i < 10 ? "{\"n\":\"x:supply\",\"vb\":" + (i % 3 == 0) + ",\"ut\":" + (60 + i) + time
                    : "{\"n\":\"x:seq\",\"v\":" + i + time);
        }
        Decoded inOrder = decode("[" + String.join(",", records) + "]");
        Collections.shuffle(records, new Random(seed));

        assertThat(decode("[" + String.join(",", records) + "]")).isEqualTo(inOrder).isInstanceOf(Pack.class);
    }

    private static byte[] damaged(byte[] payload, Random random) {
        if (payload.length < 2) {
            return payload;
        }
        byte[] changed = payload.clone();
        int place = random.nextInt(payload.length);
        switch (random.nextInt(4)) {
            case 0 -> changed[place] ^= (byte) (1 << random.nextInt(8));
            case 1 -> changed[place] = (byte) "{}[],:\"0123456789eE+-.\\tfn".charAt(random.nextInt(26));
            case 2 -> changed = Arrays.copyOf(payload, place);
            default -> {   // a stretch of it twice
                int length = Math.min(random.nextInt(40), payload.length - place);
                changed = new byte[payload.length + length];
                System.arraycopy(payload, 0, changed, 0, place + length);
                System.arraycopy(payload, place, changed, place + length, payload.length - place);
            }
        }
        return changed;
    }

    private static Pack pack(String records) {
        Decoded decoded = decodeOurs(records.endsWith("}") ? records : records + "}");
        assertThat(decoded).isInstanceOf(Pack.class);
        return (Pack) decoded;
    }
}
