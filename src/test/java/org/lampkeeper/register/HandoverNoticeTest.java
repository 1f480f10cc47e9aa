package org.lampkeeper.register;

import java.util.List;
import java.util.Map;

import org.junit.jupiter.api.Test;

import static org.assertj.core.api.Assertions.assertThat;
import static org.lampkeeper.register.HandoverField.*;

/** BS 7671, section 514: the regulations from memory, 514.12.2 from performelectrical.co.uk (six-monthly; quarterly before 2018); the words are ours. */
class HandoverNoticeTest {

    @Test
    void eachRegulationThatAsksForANoticeIsThereOnce() {
        assertThat(of(HandoverFixture.example())).extracting(HandoverNotice::regulation)
                .containsExactly("514.8.1", "514.9.1", "514.11.1", "514.12.1", "514.12.2", "514.13.1", "514.15.1");
    }

    /** 514.9.1: points, cross-sections, kind of device. */
    @Test
    void chartOfTheBoardSaysWhatTheWayFeedsAndThroughWhat() {
        assertThat(notice(HandoverFixture.example(), "514.8.1").text()).isEqualTo("Way 4: RCBO C16, 30 mA.");
        assertThat(notice(HandoverFixture.example(), "514.9.1").text()).contains("Way 4:", "feeds the fused connection unit", "RCBO C16, 30 mA", "2.5 mm²", "protective conductor 2.5 mm²");
        Map<HandoverField, String> armour = HandoverFixture.exampleWith(BACK, "ARMOUR");
        armour.remove(BACK_SIZE);
        assertThat(notice(armour, "514.9.1").text()).contains("protective conductor the armour alone");
    }

    @Test
    void whatDependsOnTheRecordFollowsIt() {
        assertThat(notice(HandoverFixture.example(), "514.12.1").text()).isEqualTo("Next inspection due: 2029-12-01.");
        assertThat(notice(HandoverFixture.example(), "514.12.2").text()).contains("every six months");
        assertThat(of(HandoverFixture.exampleWith(DEVICE, "MCB"))).extracting(HandoverNotice::regulation).doesNotContain("514.12.2");
        assertThat(notice(HandoverFixture.example(), "514.13.1")).satisfies(it -> {
            assertThat(it.text()).isEqualTo("Safety electrical connection. Do not remove.");
            assertThat(it.place()).doesNotContain("electrode");
        });
        assertThat(notice(HandoverFixture.exampleWith(EARTHING, "TT"), "514.13.1").place()).contains("electrode");
    }

    @Test
    void whatOnlySomebodyOnTheSpotCanTellSaysForWhom() {
        assertThat(of(HandoverFixture.example())).filteredOn(it -> it.only().isPresent()).extracting(HandoverNotice::regulation).containsExactly("514.11.1", "514.12.1", "514.15.1");
        assertThat(of(HandoverFixture.example())).filteredOn(it -> it.only().isPresent()).as("it is read after “Only”").allSatisfy(it -> assertThat(it.only().orElseThrow()).startsWith("where "));
        assertThat(notice(HandoverFixture.example(), "514.15.1").only().orElseThrow()).contains("generation");
        assertThat(notice(HandoverFixture.example(), "514.11.1").only().orElseThrow()).contains("all live parts");
    }

    @Test
    void whatIsNotGivenYetIsLeftOpen() {
        assertThat(notice(Map.of(), "514.8.1").text()).isEqualTo("Way …: … ….");
        assertThat(notice(Map.of(), "514.12.1").text()).isEqualTo("Next inspection due: ….");
    }

    private static List<HandoverNotice> of(Map<HandoverField, String> typed) {
        return HandoverNotice.of(HandoverValues.of(typed));
    }

    private static HandoverNotice notice(Map<HandoverField, String> typed, String regulation) {
        return of(typed).stream().filter(it -> it.regulation().equals(regulation)).findFirst().orElseThrow(() -> new AssertionError(regulation + " is not there"));
    }
}
