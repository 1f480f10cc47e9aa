package org.lampkeeper.telemetry;

import java.io.IOException;
import java.io.InputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.GeneralSecurityException;
import java.security.KeyStore;
import java.util.Base64;
import java.util.HashMap;
import java.util.Map;

import org.eclipse.paho.mqttv5.client.MqttAsyncClient;
import org.eclipse.paho.mqttv5.client.MqttConnectionOptions;
import org.eclipse.paho.mqttv5.client.persist.MemoryPersistence;
import org.eclipse.paho.mqttv5.common.MqttException;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

import org.lampkeeper.testing.EnabledIfTool;
import org.lampkeeper.testing.MosquittoServer;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

/** An external broker over TLS: its certificate is checked, against the file that was named and nothing else. */
@EnabledIfTool("mosquitto")
class BrokerTlsTest {

    private static final char[] PASSWORD = "not-a-secret".toCharArray();

    @TempDir
    Path directory;

    @Test
    void certificateFromTheNamedFileIsAcceptedAndAnotherIsNot() throws Exception {
        Path certificate = makeCertificate("broker");
        Path other = makeCertificate("stranger");
        try (MosquittoServer mosquitto = MosquittoServer.startWithTls(directory, certificate, directory.resolve("broker.key"))) {
            String uri = "ssl://localhost:" + mosquitto.uri().getPort();

            assertThat(connects(uri, Map.of("lampkeeper.broker.ca-file", certificate.toString()))).isTrue();
            assertThatThrownBy(() -> connects(uri, Map.of("lampkeeper.broker.ca-file", other.toString()))).isInstanceOf(MqttException.class);
            assertThatThrownBy(() -> connects(uri, Map.of())).isInstanceOf(MqttException.class);
        }
    }

    @Test
    void fileThatHoldsNoCertificateIsNamed() throws IOException {
        Path wrong = Files.writeString(directory.resolve("wrong.pem"), "not a certificate");

        assertThatThrownBy(() -> connects("ssl://localhost:1", Map.of("lampkeeper.broker.ca-file", wrong.toString())))
                .isInstanceOf(IllegalStateException.class).hasMessageContaining("wrong.pem").hasMessageContaining("PEM");
    }

    private boolean connects(String uri, Map<String, String> settings) throws MqttException {
        Map<String, String> all = new HashMap<>(settings);
        all.put("lampkeeper.broker.url", uri);
        BrokerConfig config = BrokerFixture.config(directory, all);
        IngestLogin login = new IngestLogin("lampkeeper-ingest", "any");
        Broker broker = new Broker(config, new EmbeddedBroker(config, (device, secret) -> false, login), login);
        MqttConnectionOptions options = broker.options();
        options.setAutomaticReconnect(false);
        MqttAsyncClient client = new MqttAsyncClient(uri, "tls-test", new MemoryPersistence());
        try {
            client.connect(options).waitForCompletion(10_000);
            return client.isConnected();
        } finally {
            client.disconnectForcibly(0, 100, true);
            client.close(true);
        }
    }

    /** A self-signed certificate for localhost, made by the JDK's own keytool. */
    private Path makeCertificate(String name) throws IOException, InterruptedException, GeneralSecurityException {
        Path store = directory.resolve(name + ".p12");
        Process keytool = new ProcessBuilder(Path.of(System.getProperty("java.home"), "bin", "keytool").toString(), "-genkeypair",
                "-alias", name, "-keyalg", "EC", "-dname", "CN=localhost", "-ext", "SAN=dns:localhost,ip:127.0.0.1", "-validity", "2",
                "-storetype", "PKCS12", "-keystore", store.toString(), "-storepass", new String(PASSWORD)).inheritIO().start();
        assertThat(keytool.waitFor()).isZero();
        KeyStore keys = KeyStore.getInstance("PKCS12");
        try (InputStream in = Files.newInputStream(store)) {
            keys.load(in, PASSWORD);
        }
        Files.writeString(directory.resolve(name + ".key"), pem("PRIVATE KEY", keys.getKey(name, PASSWORD).getEncoded()));
        return Files.writeString(directory.resolve(name + ".crt"), pem("CERTIFICATE", keys.getCertificate(name).getEncoded()));
    }

    private static String pem(String kind, byte[] bytes) {
        return "-----BEGIN " + kind + "-----\n" + Base64.getMimeEncoder(64, "\n".getBytes()).encodeToString(bytes) + "\n-----END " + kind
                + "-----\n";
    }
}
