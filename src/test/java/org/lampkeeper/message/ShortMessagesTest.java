package org.lampkeeper.message;

import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.stream.Stream;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.EnumSource;
import org.junit.jupiter.params.provider.ValueSource;

import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.callout.Decision.NotTakenOver;
import org.lampkeeper.message.LetterFacts.OfCabinet;

import static org.assertj.core.api.Assertions.assertThat;

class ShortMessagesTest {

    /** As long as addresses are: 68 characters. */
    private static final String ADDRESS = "https://lampkeeper.hallowwater.example/s/AQwZsJ3PyQZ0kD9x4Vq7bQ2mTfE";
    private static final Optional<String> CODE = Optional.of("7KM");
    private static final Instant BACK = Instant.parse("2026-11-25T02:44:00Z");

    private static String of(Letter letter) {
        return ShortMessages.of(letter, ADDRESS, CODE);
    }

    private static LetterFacts about(String cabinet) {
        LetterFacts facts = LetterFixture.supplyLost();
        return new LetterFacts(facts.kind(), new OfCabinet(LetterFixture.cabinet(cabinet, "NS2", "4", LetterFixture.BOARD_A)), facts.since(), facts.now(),
                facts.inside(), facts.advice(), facts.toldAlready(), facts.next(), facts.link(), facts.journal());
    }

    @Test
    void lossGoesInOnePartWithTheWayToThePageAndTheWords() {
        assertThat(of(AlarmLetter.compose(LetterFixture.supplyLost()))).isEqualTo("North Stair 2 has no supply since 02:41. Board A way 4.\n" + ADDRESS
                + "\nReply TAKE7KM or PASS7KM");
    }

    @Test
    void shortAddressLeavesRoomForTheDeviceToo() {
        assertThat(ShortMessages.of(AlarmLetter.compose(LetterFixture.supplyLost()), "https://w.example/s/AQwZsJ3PyQZ0kD9x4Vq7", CODE))
                .startsWith("North Stair 2 has no supply since 02:41. Board A way 4, C16 30 mA, 3 A fuse.\n").hasSizeLessThanOrEqualTo(160);
    }

    /** The text gets shorter, the place never. */
    @ParameterizedTest
    @CsvSource(delimiter = '|', textBlock = """
            Ferry Landing East 12             | Ferry Landing East 12 has no supply since 02:41. Board A way 4. | 1
            Ferry Landing East, pontoon 12    | Ferry Landing East, pontoon 12 has no supply since 02:41. | 1
            Ferry Landing East, pontoon 12 by the lower ramp | No supply: Ferry Landing East, pontoon 12 by the lower ramp, 02:41 | 1
            Ferry Landing East, pontoon 12 by the lower ramp on the left | No supply: Ferry Landing East, pontoon 12 by the lower ramp on the left, 02:41 | 2
            Præstø æøå Åkaj Ü                 | Præstø æøå Åkaj Ü has no supply since 02:41. Board A way 4. | 1
            Gdańsk, nabrzeże 2                | No supply: Gdańsk, nabrzeże 2, 02:41                  | 2
            """)
    void textIsShortenedButNotItsPlace(String cabinet, String text, int parts) {
        String message = of(AlarmLetter.compose(about(cabinet)));

        assertThat(message).isEqualTo(text + "\n" + ADDRESS + "\nReply TAKE7KM or PASS7KM");
        assertThat(ShortText.parts(message, 1)).hasSize(parts);
    }

    @ParameterizedTest
    @EnumSource(AlarmKind.class)
    void everyLetterThatAsksForSomethingEndsWithTheWordsAndNoOtherDoes(AlarmKind kind) {
        LetterFacts facts = LetterFixture.of(kind);
        List<Letter> asking = List.of(AlarmLetter.compose(facts), AlarmLetter.askedToTakeOver(facts, "M. Teal", BACK),
                AlarmLetter.stillYours(facts, "R. Osk", NotTakenOver.DECLINED), AlarmLetter.returned(facts, BACK, Optional.empty()));
        List<Letter> telling = List.of(AlarmLetter.taken(facts, "M. Teal", BACK, Optional.of(BACK)), AlarmLetter.returned(facts, BACK, Optional.of("M. Teal")));

        assertThat(asking).allSatisfy(letter -> assertThat(of(letter)).endsWith("\n" + ADDRESS + "\nReply TAKE7KM or PASS7KM"));
        assertThat(telling).allSatisfy(letter -> assertThat(of(letter)).endsWith("\n" + ADDRESS));
        assertThat(Stream.concat(asking.stream(), telling.stream())).allSatisfy(letter -> assertThat(ShortText.parts(of(letter), 1)).as(of(letter)).hasSize(1));
    }

    @Test
    void whereNobodyHearsAnswersThereAreNoWords() {
        assertThat(ShortMessages.of(AlarmLetter.compose(LetterFixture.supplyLost()), ADDRESS, Optional.empty())).endsWith(ADDRESS);
    }

    /** 3GPP TS 23.038, 6.2.1 has no sign for degrees: with it every text would be Unicode, of 70 characters. */
    @Test
    void temperatureKeepsTheTextInTheAlphabet() {
        Letter letter = new Letter("North Stair 2: inside 3.9 °C, falling since 02:41.", "", List.of(), true);

        assertThat(of(letter)).startsWith("North Stair 2: inside 3.9 C, falling since 02:41.");
        assertThat(ShortText.parts(of(letter), 1)).singleElement().satisfies(part -> assertThat(part.isUnicode()).isFalse());
    }

    @ParameterizedTest
    @ValueSource(booleans = {true, false})
    void whereNothingComesBackItIsOneLineWithoutTheWords(boolean isAnswerable) {
        Letter letter = new Letter("Reply is late: North Stair 2.", "", List.of(), isAnswerable);

        assertThat(ShortMessages.inOneLine(of(letter))).isEqualTo("Reply is late: North Stair 2. " + ADDRESS);
    }
}
