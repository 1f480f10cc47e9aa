package org.lampkeeper.telemetry;

import java.time.Duration;
import java.util.Optional;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.concurrent.atomic.AtomicLong;

import org.apache.activemq.artemis.core.config.WildcardConfiguration;
import org.junit.jupiter.api.Test;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

class BrokerGuardTest {

    private static final Duration KEPT = Duration.ofMinutes(5);

    private final AtomicLong nanos = new AtomicLong();
    private final AtomicInteger asked = new AtomicInteger();
    private String secret = "right";
    private boolean registerAway;
    private final BrokerGuard guard = new BrokerGuard(this::accepts, new IngestLogin("lampkeeper-ingest", "ours"), Optional.empty(), KEPT,
            new WildcardConfiguration(), nanos::get);

    private boolean accepts(String deviceId, String offered) {
        asked.incrementAndGet();
        if (registerAway) {
            throw new IllegalStateException("no database");
        }
        return offered.equals(secret);
    }

    private boolean accepted(String user, String password) {
        return guard.authenticate(user, password, null, null) != null;
    }

    @Test
    void acceptedLoginIsBelievedForAWhileAndThenAskedForAgain() {
        assertThat(accepted("s1", "right")).isTrue();
        nanos.addAndGet(KEPT.toNanos() - 1);
        assertThat(accepted("s1", "right")).isTrue();
        assertThat(asked).hasValue(1);

        secret = "new";
        nanos.addAndGet(1);

        assertThat(accepted("s1", "right")).isFalse();
        assertThat(asked).hasValue(2);
    }

    @Test
    void refusedLoginIsNotRemembered() {
        secret = "new";
        assertThat(accepted("s1", "right")).isFalse();

        secret = "right";

        assertThat(accepted("s1", "right")).isTrue();
        assertThat(guard.refusedLogins()).isEqualTo(1);
    }

    @Test
    void wrongSecretOfAKnownSensorIsNotCoveredByTheRightOne() {
        assertThat(accepted("s1", "right")).isTrue();

        assertThat(accepted("s1", "wrong")).isFalse();
        assertThat(accepted("s1", "right")).isTrue();
        assertThat(asked).hasValue(2);
    }

    @Test
    void forgottenLoginIsAskedForAtOnce() {
        assertThat(accepted("s1", "right")).isTrue();
        secret = "new";

        guard.forget("s1");

        assertThat(accepted("s1", "right")).isFalse();
    }

    @Test
    void whileTheRegisterIsAwayKnownSensorsGoOnAndUnknownOnesAreAnError() {
        assertThat(accepted("s1", "right")).isTrue();
        registerAway = true;
        nanos.addAndGet(KEPT.toNanos());

        assertThat(accepted("s1", "right")).isTrue();
        assertThatThrownBy(() -> accepted("s1", "wrong")).hasMessage("no database");
        assertThatThrownBy(() -> accepted("s2", "right")).hasMessage("no database");
    }

    @Test
    void nameThatIsNoSensorsIsRefusedWithoutAsking() {
        assertThat(accepted("ingest", "right")).isFalse();
        assertThat(accepted("a/b", "right")).isFalse();
        assertThat(accepted("+", "right")).isFalse();
        assertThat(accepted("", "right")).isFalse();
        assertThat(accepted("lampkeeper-ingest", "right")).isFalse();

        assertThat(asked).hasValue(0);
    }
}
