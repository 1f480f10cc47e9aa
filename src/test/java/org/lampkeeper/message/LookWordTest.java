package org.lampkeeper.message;

import java.util.Optional;

import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

import org.lampkeeper.message.LookWord.Verb;

import static org.assertj.core.api.Assertions.assertThat;

class LookWordTest {

    @ParameterizedTest
    @CsvSource(delimiter = '|', value = {"LIT7KM | LIT | 7KM", "lit 7 k m | LIT | 7KM", "Out7km. | OUT | 7KM", "It is OUT7KM! | OUT | 7KM", "it's not good, OUT7KM | OUT | 7KM",
            "unseen7KM | UNSEEN | 7KM", "the door: DAMAGED-7KM | DAMAGED | 7KM", "líT7KM thanks | LIT | 7KM"})
    void wordWithItsCodeIsUnderstoodWhateverStandsAroundIt(String text, Verb verb, String code) {
        assertThat(LookWord.in(text)).contains(new LookWord(verb, Optional.of(code)));
    }

    @ParameterizedTest
    @CsvSource({"lit, LIT", "OUT!, OUT", "' Damaged. ', DAMAGED"})
    void wordAloneCountsWhereItIsAll(String text, Verb verb) {
        assertThat(LookWord.in(text)).contains(new LookWord(verb, Optional.empty()));
    }

    @ParameterizedTest
    @ValueSource(strings = {"", "I am out of office", "not lit7KM", "it isn't LIT7KM", "LIT7KM or OUT7KM", "LIT1KM", "SPLIT7KM", "LIT7KMX", "is it lit?"})
    void doubtSaysNothing(String text) {
        assertThat(LookWord.in(text)).isEmpty();
    }
}
