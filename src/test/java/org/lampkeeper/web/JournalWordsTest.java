package org.lampkeeper.web;

import java.time.Instant;
import java.time.ZoneId;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.FieldSource;

import static org.assertj.core.api.Assertions.assertThat;

class JournalWordsTest {

    static final List<String> KINDS = JournalWords.KINDS;

    private static final ZoneId LONDON = ZoneId.of("Europe/London");
    private static final Instant AT = Instant.parse("2026-11-25T02:45:00Z");

    @ParameterizedTest
    @CsvSource(delimiter = '|', textBlock = """
            loss-confirmed         | since=2026-11-25T02:41:00Z                            | North Stair 2 has no supply since 02:41: confirmed.
            supply-returned        | lost-since=2026-11-24T23:00:00Z at=2026-11-25T02:44:00Z | North Stair 2 has supply again at 02:44, lost since 24 Nov 23:00.
            alarm-acknowledged     | person=r1 alarm-kind=SUPPLY_LOST                      | M. Teal takes the alarm: North Stair 2 without supply.
            alarm-acknowledged     | person=r1 alarm-kind=SUPPLY_LOST channel=SMS          | M. Teal takes the alarm, by SMS reply: North Stair 2 without supply.
            alarm-taken-over       | person=r1 alarm-kind=SUPPLY_LOST channel=SMS          | M. Teal takes over the alarm, by SMS reply: North Stair 2 without supply.
            person-cannot-come     | person=r1 channel=SMS                                 | M. Teal cannot come, by SMS reply; the next one is told.
            alarm-acknowledged     | person=gone alarm-kind=NOT_HEARD                      | Somebody who has been erased takes the alarm: North Stair 2 not heard.
            alarm-shelved          | person=r1 alarm-kind=UNSTEADY until=2026-11-25T06:00:00Z reason=storm | M. Teal: shelved until 06:00: North Stair 2 with unsteady supply. Why: storm.
            attendance-completed   | person=r1 alarm-kind=SUPPLY_LOST fit=YES              | M. Teal said what was done: North Stair 2 without supply. Fit for use.
            attendance-written     | person=r1 alarm-kind=SUPPLY_LOST visit=2             | M. Teal began to say what was done: North Stair 2 without supply, visit 2.
            attendance-corrected   | person=r1 alarm-kind=SUPPLY_LOST fit=NO               | M. Teal changed what was said to be done: North Stair 2 without supply. Not fit for use.
            message-undelivered    | person=r1 reason=refused.                             | A message to M. Teal could not be delivered: refused.
            channel-added          | person=r1 channel=SMS                                 | A channel of M. Teal was added: SMS.
            channel-proof-sent     | person=r1 channel=SMS by=r1                           | M. Teal: a proof is asked of M. Teal: SMS.
            channel-proven         | person=r1 channel=SMS answer=SILENT                   | M. Teal showed that a channel reaches them: SMS, but it did not ring at night.
            site-changed           | by=r1                                                 | Site changed, North Stair 2 by M. Teal.
            duty-gap-found         | duty=DUTY_MANAGER from=2026-11-25T22:00:00Z until=2026-11-26T06:00:00Z | Nobody is going to be on duty as duty manager at North Stair 2 from 22:00 to 26 Nov 06:00.
            duty-gaps-told         | person=r1                                             | M. Teal was told where nobody is on duty at North Stair 2.
            never-heard-of-before  |                                                       | Never heard of before, North Stair 2.
            """)
    void entryIsASentence(String kind, String facts, String sentence) {
        assertThat(words(kind, facts)).isEqualTo(sentence);
    }

    @ParameterizedTest
    @FieldSource("KINDS")
    void everyKindIsToldEvenWhenItsBodyWasTamperedWith(String kind) {
        assertThat(words(kind, null)).isNotBlank().endsWith(".");
        assertThat(words(kind, "since=never at=x person=r1 alarm-kind=NOTHING")).isNotBlank();
    }

    @Test
    void verificationSaysWhatItFound() {
        assertThat(of("journal-verified", Map.of("person", "r1", "intact", true, "number", 12)))
                .isEqualTo("M. Teal had the journal verified: intact up to entry 12.");
        assertThat(of("journal-verified", Map.of("person", "r1", "intact", false, "explanation", "entry 3 is missing")))
                .isEqualTo("M. Teal had the journal verified: not intact: entry 3 is missing.");
    }

    @Test
    void changeNamesWhatIsOtherwiseThanBefore() {
        assertThat(of("circuit-changed", Map.of("person", "r1", "before", Map.of("fuseAmpere", 3, "way", "4"), "after", Map.of("fuseAmpere", 5, "way", "4"))))
                .isEqualTo("Circuit changed, North Stair 2 by M. Teal: fuseAmpere.");
    }

    private static String words(String kind, String facts) {
        Map<String, Object> all = new TreeMap<>();
        for (String fact : facts == null ? new String[0] : facts.split(" ")) {
            all.put(fact.substring(0, fact.indexOf('=')), fact.substring(fact.indexOf('=') + 1));
        }
        return of(kind, all);
    }

    private static String of(String kind, Map<String, Object> facts) {
        return JournalWords.of(kind, facts, "North Stair 2", reference -> reference.equals("r1") ? Optional.of("M. Teal") : Optional.empty(), LONDON, AT);
    }
}
