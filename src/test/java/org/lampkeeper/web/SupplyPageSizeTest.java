package org.lampkeeper.web;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.stream.IntStream;

import io.quarkus.test.junit.QuarkusTest;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.callout.Gap;

import static org.assertj.core.api.Assertions.assertThat;

/** A page of 1,000 cabinets stays readable and small, however many of them have lost their supply, and mentions each that has. */
@QuarkusTest
class SupplyPageSizeTest {

    /** The goal for the whole page; what surrounds the part that changes takes less than 8 KiB of it. */
    private static final int AT_MOST = 300_000 - 8_192;

    private static final Gap GAP = new Gap(DutyRole.DUTY_MANAGER, SupplyFixture.NOW.plusSeconds(86_400), SupplyFixture.NOW.plusSeconds(172_800));

    @ParameterizedTest
    @ValueSource(ints = {0, 1, 300, 1000})
    void thousandCabinetsStayBelow300KilobytesAndEveryLossIsMentioned(int lost) {
        SupplyFixture harbours = new SupplyFixture();
        for (int i = 0; i < 1000; i++) {
            int number = 1000 + i;
            harbours.onDuty(number / 100, GAP);
            // Spread over all sites and boards.
            if (i * 617 % 1000 < lost) {
                harbours.lost(number, Duration.ofMinutes(4 + i % 50)).alarm(5_000_000L + number, AlarmKind.SUPPLY_LOST, number);
            } else {
                harbours.lit(number);
            }
        }

        String html = SupplyResource.Templates.live(harbours.page()).render();

        assertThat(html.getBytes(StandardCharsets.UTF_8).length).isLessThan(AT_MOST);
        assertThat(IntStream.range(0, 1000).filter(i -> i * 617 % 1000 < lost).mapToObj(i -> "N" + (1000 + i)))
                .allMatch(code -> html.contains(">" + code + "<"));
    }

    /** Each with a headline, who is on there, and where nobody is. */
    @Test
    void thousandCabinetsAtManySitesDoToo() {
        SupplyFixture harbours = new SupplyFixture();
        for (int i = 0; i < 1000; i++) {
            int number = 100_000 + i / 4 * 100 + i % 4;
            harbours.onDuty(number / 100, GAP);
            if (i % 4 == 0) {
                harbours.lost(number, Duration.ofMinutes(4)).alarm(5_000_000L + number, AlarmKind.SUPPLY_LOST, number);
            } else {
                harbours.lit(number);
            }
        }

        String html = SupplyResource.Templates.live(harbours.page()).render();

        assertThat(html.getBytes(StandardCharsets.UTF_8).length).isLessThan(AT_MOST);
    }
}
