package org.lampkeeper.telemetry;

import java.io.InputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.KeyStore;
import java.util.Map;

import javax.net.ssl.SSLContext;
import javax.net.ssl.SSLSocket;
import javax.net.ssl.TrustManagerFactory;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

import org.lampkeeper.testing.MqttProbe;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.awaitility.Awaitility.await;

class EmbeddedBrokerTlsTest {

    private static final String PASSWORD = "of-the-store";

    @TempDir
    Path directory;

    @Test
    void sensorOverTlsAndIngestClientInTheClearMeet() throws Exception {
        Path store = keyStore();
        BrokerFixture fixture = BrokerFixture.started(directory.resolve("broker"), tls(store, PASSWORD));
        try (MqttProbe ingest = MqttProbe.ofVersion("5");
                SSLSocket sensor = (SSLSocket) trusting(store).getSocketFactory().createSocket("127.0.0.1", fixture.broker.tlsPort())) {
            ingest.connect(fixture.ingest(0));
            ingest.subscribe("lampkeeper/v1/s1/report");

            sensor.getOutputStream().write(RawMqtt.connect("s1", "s1", BrokerFixture.secretOf("s1")));
            sensor.getOutputStream().write(RawMqtt.publish("lampkeeper/v1/s1/report", "lit"));
            sensor.getOutputStream().flush();

            await().untilAsserted(() -> assertThat(ingest.payloads()).containsExactly("lit"));
        } finally {
            fixture.broker.stop();
        }
    }

    @Test
    void keyStoreThatCannotBeOpenedStopsTheStart() throws Exception {
        EmbeddedBroker broker = new EmbeddedBroker(BrokerFixture.config(directory.resolve("broker"), tls(keyStore(), "wrong")),
                (id, secret) -> false, BrokerFixture.INGEST);

        assertThatThrownBy(broker::start).isInstanceOf(IllegalStateException.class).hasMessageContaining("lampkeeper.broker.tls");

        assertThat(broker.isRunning()).isFalse();
    }

    private static Map<String, String> tls(Path store, String password) {
        return Map.of("lampkeeper.broker.tls.key-store", store.toString(), "lampkeeper.broker.tls.key-store-password", password,
                "lampkeeper.broker.tls.host", "127.0.0.1", "lampkeeper.broker.tls.port", "0");
    }

    private Path keyStore() throws Exception {
        Path store = directory.resolve("broker.p12");
        Process keytool = new ProcessBuilder(Path.of(System.getProperty("java.home"), "bin", "keytool").toString(), "-genkeypair",
                "-alias", "broker", "-keyalg", "EC", "-dname", "CN=broker.example", "-validity", "2", "-storetype", "PKCS12",
                "-keystore", store.toString(), "-storepass", PASSWORD).start();
        assertThat(keytool.waitFor()).isZero();
        return store;
    }

    private static SSLContext trusting(Path store) throws Exception {
        KeyStore own = KeyStore.getInstance("PKCS12");
        try (InputStream in = Files.newInputStream(store)) {
            own.load(in, PASSWORD.toCharArray());
        }
        KeyStore trusted = KeyStore.getInstance("PKCS12");
        trusted.load(null, null);
        trusted.setCertificateEntry("broker", own.getCertificate("broker"));
        TrustManagerFactory managers = TrustManagerFactory.getInstance(TrustManagerFactory.getDefaultAlgorithm());
        managers.init(trusted);
        SSLContext context = SSLContext.getInstance("TLS");
        context.init(null, managers.getTrustManagers(), null);
        return context;
    }
}
