package org.lampkeeper.watch;

import java.time.Clock;
import java.time.Duration;
import java.time.Instant;

import jakarta.inject.Inject;

import io.quarkus.test.junit.QuarkusTest;
import org.junit.jupiter.api.MethodOrderer;
import org.junit.jupiter.api.Order;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestMethodOrder;

import org.lampkeeper.testing.MovedClock;

import static org.assertj.core.api.Assertions.assertThat;

@QuarkusTest
@TestMethodOrder(MethodOrderer.OrderAnnotation.class)
class ClocksTest {

    private static final Instant NIGHT = Instant.parse("2031-02-03T02:41:20Z");

    @Inject
    Clock clock;
    @Inject
    MovedClock moved;

    @Test
    @Order(1)
    void testMovesTheClockThatTheApplicationReads() {
        moved.stopAt(NIGHT);
        moved.advance(Duration.ofSeconds(45));

        assertThat(clock.instant()).isEqualTo(NIGHT.plusSeconds(45));
    }

    @Test
    @Order(2)
    void clockRunsAgainAfterATestThatStoppedIt() {
        assertThat(clock.instant()).isBetween(Instant.now().minusSeconds(60), Instant.now().plusSeconds(60));
    }

    @Test
    void applicationsOwnClockIsNoFinerThanWhatADatabaseKeeps() {
        assertThat(new Clocks().clock().instant().getNano() % 1000).isZero();
    }
}
