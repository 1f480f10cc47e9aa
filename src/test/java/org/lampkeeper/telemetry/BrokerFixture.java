package org.lampkeeper.telemetry;

import java.net.URI;
import java.nio.file.Path;
import java.util.HashMap;
import java.util.Map;
import java.util.Set;
import java.util.concurrent.ConcurrentHashMap;

import io.smallrye.config.SmallRyeConfigBuilder;

import org.lampkeeper.testing.MqttProbe.Login;

/** A broker of our own in a directory, with sensors {@code s1}, {@code s2}, … whose secret is {@code secret-s1}, …. */
final class BrokerFixture {

    static final IngestLogin INGEST = new IngestLogin("lampkeeper-ingest", "ingest-password");

    final Set<String> retired = ConcurrentHashMap.newKeySet();
    final EmbeddedBroker broker;

    private BrokerFixture(Path directory, Map<String, String> settings) {
        broker = new EmbeddedBroker(config(directory, settings), this::accepts, INGEST);
    }

    static BrokerFixture started(Path directory, Map<String, String> settings) {
        BrokerFixture fixture = new BrokerFixture(directory, settings);
        fixture.broker.start();
        return fixture;
    }

    static BrokerFixture started(Path directory) {
        return started(directory, Map.of());
    }

    static BrokerConfig config(Path directory, Map<String, String> settings) {
        Map<String, String> all = new HashMap<>(Map.of("lampkeeper.broker.directory", directory.toString(), "lampkeeper.broker.port", "0"));
        all.putAll(settings);
        return new SmallRyeConfigBuilder().addDiscoveredConverters().withMapping(BrokerConfig.class).withDefaultValues(all).build()
                .getConfigMapping(BrokerConfig.class);
    }

    private boolean accepts(String deviceId, String secret) {
        return deviceId.matches("s[0-9]+") && !retired.contains(deviceId) && secret.equals(secretOf(deviceId));
    }

    static String secretOf(String deviceId) {
        return "secret-" + deviceId;
    }

    URI uri() {
        return broker.uri();
    }

    Login sensor(String deviceId) {
        return Login.of(uri(), deviceId, secretOf(deviceId));
    }

    Login ingest(int slot) {
        return ingest(uri(), slot);
    }

    static Login ingest(URI uri, int slot) {
        return Login.of(uri, INGEST.username(), INGEST.password()).as(IngestLogin.CLIENT_ID_PREFIX + slot);
    }
}
