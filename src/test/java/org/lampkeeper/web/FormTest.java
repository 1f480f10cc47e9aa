package org.lampkeeper.web;

import java.time.Instant;
import java.time.ZoneId;
import java.util.List;
import java.util.Map;
import java.util.Optional;

import jakarta.ws.rs.core.MultivaluedHashMap;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

import org.lampkeeper.register.DeviceKind;
import org.lampkeeper.register.Problem;
import org.lampkeeper.web.Input.Choice;

import static org.assertj.core.api.Assertions.assertThat;

class FormTest {

    private static final ZoneId LONDON = ZoneId.of("Europe/London");

    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {"2,5 | 2.5", "2.5 | 2.5", " 7 | 7", "-12,25 | -12.25", "\u22125 | -5", "+3 | 3", "50 | 50", "-60 | -60"})
    void numberIsTakenWithCommaOrPoint(String typed, double expected) {
        Form form = with("lowest", typed).add(Input.temperature("lowest", "Lowest"));

        assertThat(form.decimal("lowest", -60, 50)).contains(expected);
        assertThat(form.isFine()).isTrue();
    }

    @ParameterizedTest
    @ValueSource(strings = {"2,5,1", "1.000,5", "abc", "--2", "NaN", "1e9", "0x10", "2 5", "-60.01", "50,01", "9999999999999"})
    void whatIsNoNumberInRangeIsKeptAndSaidBesideTheField(String typed) {
        Form form = with("lowest", typed).add(Input.temperature("lowest", "Lowest"));

        assertThat(form.decimal("lowest", -60, 50)).isEmpty();

        assertThat(form.isFine()).isFalse();
        assertThat(form.field("lowest").value()).isEqualTo(typed);
        assertThat(form.field("lowest").error()).contains("must be");
        assertThat(form.field("lowest").describedBy()).contains("field-lowest-error");
    }

    @Test
    void wholeNumberSaysWhatWouldBeRight() {
        Form form = with("fuse", "3,5").add(Input.whole("fuse", "Fuse", "A"));

        form.whole("fuse", "3");

        assertThat(form.field("fuse").error()).isEqualTo("“3,5” is not a whole number, must be one like 3 A.");
    }

    @ParameterizedTest
    @CsvSource({"13, true", "14, false", "1, true", "0, false"})
    void bothEndsOfARangeAreAllowed(String typed, boolean isFine) {
        Form form = with("fuse", typed).add(Input.whole("fuse", "Fuse", "A"));

        form.whole("fuse", 1, 13);

        assertThat(form.isFine()).isEqualTo(isFine);
    }

    @Test
    void longTextIsKeptToItsLastCharacterAndQuotedShort() {
        String typed = "x".repeat(10_000);
        Form form = with("fuse", typed).add(Input.whole("fuse", "Fuse", "A"));

        form.whole("fuse", "3");

        assertThat(form.field("fuse").value()).isEqualTo(typed);
        assertThat(form.field("fuse").error()).hasSizeLessThan(120);
    }

    @Test
    void problemOfAFieldThatIsNotOnThePageIsAboutTheWhole() {
        Form form = with("name", "").add(Input.text("name", "Name"));

        form.problems(List.of(new Problem("siteId", "site 5: not registered"), new Problem("name", "name is empty")));

        assertThat(form.ofTheWhole()).containsExactly("Site 5: not registered.");
        assertThat(form.broken()).singleElement().satisfies(broken -> assertThat(broken.text()).isEqualTo("Name is empty."));
        assertThat(form.summary()).startsWith("2 things");
    }

    @Test
    void fieldGetsOneProblemOnly() {
        Form form = with("fuse", "x").add(Input.whole("fuse", "Fuse", "A"));

        int value = form.whole("fuse", "3");
        form.problems(List.of(new Problem("fuse", "fuse " + value + " A, must be 1 to 13 A")));

        assertThat(form.broken()).hasSize(1);
        assertThat(form.field("fuse").error()).contains("is not a whole number");
    }

    @ParameterizedTest
    @ValueSource(strings = {"", "FUSE_BOARD", "rcbo", "<script>"})
    void onlyWhatIsOfferedCanBeChosen(String typed) {
        Form form = with("device", typed).add(Input.choice("device", "Device", List.of(new Choice("RCBO", "RCBO"), new Choice("MCB", "MCB"))));

        assertThat(form.choice("device", DeviceKind.class)).isEmpty();
        assertThat(form.isFine()).isFalse();
    }

    @Test
    void numberOfAThingThatIsNotOfferedIsNotTaken() {
        Form form = with("boardId", "7").add(Input.choice("boardId", "Board", List.of(new Choice("5", "Board A"))));

        assertThat(form.chosenId("boardId")).isEmpty();
        assertThat(form.isFine()).isFalse();
    }

    // Europe/London 2026: forward on 29 March at 01:00, back on 25 October at 02:00 (IANA time zone database)
    @ParameterizedTest
    @CsvSource({"2026-11-25T14:30, 2026-11-25T14:30:00Z", "2026-07-01 14:30, 2026-07-01T13:30:00Z", "2026-03-29T00:59, 2026-03-29T00:59:00Z",
            "2026-03-29T01:30,", "2026-03-29T02:00, 2026-03-29T01:00:00Z", "2026-10-25T01:30,", "2026-10-25T02:00, 2026-10-25T02:00:00Z",
            "tomorrow,", "2026-02-30T10:00,"})
    void momentIsReadOnTheClocksOfThePlaceAndRefusedWhereTheyHaveItNotOnce(String typed, Instant expected) {
        Form form = with("from", typed).add(Input.moment("from", "From"));

        assertThat(form.moment("from", LONDON)).isEqualTo(Optional.ofNullable(expected));
        assertThat(form.isFine()).isEqualTo(expected != null);
        assertThat(form.field("from").value()).isEqualTo(typed);
    }

    @Test
    void whatSomebodyElseStoredStandsBesideTheFieldThatDiffers() {
        Form form = Form.typed(sent(Map.of("name", "Mine", "place", "same", "version", "3"))).add(Input.text("name", "Name"))
                .add(Input.text("place", "Place"));

        form.changedMeanwhile(5, Map.of("name", "Theirs", "place", "same"), "M. Teal at 02:45");

        assertThat(form.field("name")).satisfies(field -> {
            assertThat(field.value()).isEqualTo("Mine");
            assertThat(field.differs()).isTrue();
            assertThat(field.storedNow()).isEqualTo("Theirs");
            assertThat(field.storedBy()).isEqualTo("M. Teal at 02:45");
        });
        assertThat(form.field("place").differs()).isFalse();
        assertThat(form.version()).isEqualTo(5);
    }

    @Test
    void secretIsNeverShownAgain() {
        assertThat(with("password", "hunter").add(Input.secret("password", "Password", "current-password")).field("password").value()).isEmpty();
    }

    private static Form with(String name, String typed) {
        return Form.typed(sent(Map.of(name, typed)));
    }

    private static MultivaluedHashMap<String, String> sent(Map<String, String> values) {
        return new MultivaluedHashMap<>(values);
    }
}
