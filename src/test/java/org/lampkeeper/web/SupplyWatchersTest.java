package org.lampkeeper.web;

import java.net.URI;
import java.net.http.HttpClient;
import java.net.http.HttpRequest;
import java.net.http.HttpResponse.BodyHandlers;
import java.nio.ByteBuffer;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.List;
import java.util.concurrent.Flow;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.stream.IntStream;

import jakarta.inject.Inject;

import io.quarkus.test.common.http.TestHTTPResource;
import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.access.Role;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.testing.WithDemo;

import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;
import static org.lampkeeper.web.WebFixture.NOW;

/** Two hundred at once, whose connections break: whoever is connected shows what is true. */
@QuarkusTest
@TestProfile(WithDemo.class)
class SupplyWatchersTest {

    private static final int WATCHERS = 200;

    @TestHTTPResource("/supply/live")
    URI live;
    @Inject
    WebFixture fixture;
    @Inject
    MovedClock clock;

    private final HttpClient client = HttpClient.newBuilder().version(HttpClient.Version.HTTP_1_1).build();

    @BeforeEach
    void situation() {
        clock.stopAt(NOW);
        fixture.oneLostAndOneSilent();
    }

    @Test
    void everyWatcherEndsWithTheNewestStateWhateverConnectionBroke() {
        SignedIn administrator = SignedIn.as(Role.ADMINISTRATOR);
        List<Watcher> watchers = IntStream.range(0, WATCHERS).mapToObj(i -> new Watcher(administrator.cookie())).toList();
        try {
            watchers.forEach(Watcher::connect);
            awaitAll(watchers, "data-live-part");
            for (int round = 1; round <= 4; round++) {
                int half = round % 2;
                IntStream.range(0, WATCHERS).filter(i -> i % 2 == half).forEach(i -> watchers.get(i).cut());
                // While they are away: nobody tells them of it.
                fixture.run("UPDATE site SET name = ? WHERE name LIKE 'North Stair%'", "North Stair round " + round + ".");
                IntStream.range(0, WATCHERS).filter(i -> i % 2 == half).forEach(i -> watchers.get(i).connect());
                awaitAll(watchers, "North Stair round " + round + ".");
                assertThat(watchers).as("whoever came back is sent everything, whoever stayed what changed").extracting(watcher -> watcher.newest)
                        .anyMatch(newest -> newest.contains("data-kept")).anyMatch(newest -> !newest.contains("data-kept"));
            }
            assertThat(watchers).allSatisfy(watcher -> assertThat(watcher.events.get()).as("news, not every second's page again").isLessThan(20));
        } finally {
            watchers.forEach(Watcher::cut);
            fixture.run("UPDATE site SET name = 'North Stair' WHERE name LIKE 'North Stair%'");
        }
    }

    private static void awaitAll(List<Watcher> watchers, String shown) {
        await().atMost(Duration.ofSeconds(60)).untilAsserted(() -> assertThat(watchers).allMatch(watcher -> watcher.newest.contains(shown)));
    }

    /** One open page: keeps the last event that changed it. */
    private final class Watcher {

        private final HttpRequest request;
        private final AtomicInteger events = new AtomicInteger();
        private volatile String newest = "";
        private volatile Connection connection = new Connection();

        private Watcher(String cookie) {
            this.request = HttpRequest.newBuilder(live).header("Cookie", SignedIn.COOKIE + "=" + cookie).build();
        }

        private void connect() {
            Connection fresh = new Connection();
            connection = fresh;
            client.sendAsync(request, BodyHandlers.fromSubscriber(fresh));
        }

        private void cut() {
            connection.cut();
        }

        private final class Connection implements Flow.Subscriber<List<ByteBuffer>> {

            private final StringBuilder event = new StringBuilder();
            private volatile Flow.Subscription subscription;
            private volatile boolean isCut;

            private void cut() {
                isCut = true;
                if (subscription != null) {
                    subscription.cancel();
                }
            }

            @Override
            public void onSubscribe(Flow.Subscription opened) {
                subscription = opened;
                if (isCut) {
                    opened.cancel();
                }
                opened.request(Long.MAX_VALUE);
            }

            @Override
            public void onNext(List<ByteBuffer> parts) {
                parts.forEach(part -> event.append(StandardCharsets.UTF_8.decode(part)));
                for (int end = event.indexOf("\n\n"); end >= 0; end = event.indexOf("\n\n")) {
                    String whole = event.substring(0, end);
                    event.delete(0, end + 2);
                    if (!isCut && whole.contains("event:supply")) {
                        newest = whole;
                        events.incrementAndGet();
                    }
                }
            }

            @Override
            public void onError(Throwable broken) {
                isCut = true;
            }

            @Override
            public void onComplete() {
                isCut = true;
            }
        }
    }
}
