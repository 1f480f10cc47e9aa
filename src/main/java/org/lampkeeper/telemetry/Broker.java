package org.lampkeeper.telemetry;

import java.io.IOException;
import java.io.InputStream;
import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.GeneralSecurityException;
import java.security.KeyStore;
import java.security.cert.Certificate;
import java.security.cert.CertificateFactory;

import javax.net.ssl.SSLContext;
import javax.net.ssl.SSLSocketFactory;
import javax.net.ssl.TrustManagerFactory;

import jakarta.enterprise.context.ApplicationScoped;

import org.eclipse.paho.mqttv5.client.MqttConnectionOptions;

/** The broker that this installation listens at, ours or another's, and how to connect to it. */
@ApplicationScoped
class Broker {

    private final BrokerConfig config;
    private final EmbeddedBroker embedded;
    private final IngestLogin login;

    Broker(BrokerConfig config, EmbeddedBroker embedded, IngestLogin login) {
        this.config = config;
        this.embedded = embedded;
        this.login = login;
    }

    boolean isEmbedded() {
        return config.url().isEmpty();
    }

    URI uri() {
        return config.url().orElseGet(embedded::uri);
    }

    /** What to subscribe to, so that each message that fits {@code filter} is dealt to one slot. */
    String dealt(String filter) {
        return isEmbedded() ? BrokerTopics.sharedInside(filter) : config.shareName().map(name -> "$share/" + name + "/" + filter).orElse(filter);
    }

    /** Whether more than one slot may listen: without a share group each would be dealt every message. */
    boolean mayHaveManySlots() {
        return !isEmbedded() && config.shareName().isPresent();
    }

    /** Credentials and, for TLS, what the broker's certificate is checked against; the rest is the caller's. */
    MqttConnectionOptions options() {
        MqttConnectionOptions options = new MqttConnectionOptions();
        options.setUserName(login.username());
        options.setPassword(login.password().getBytes(StandardCharsets.UTF_8));
        if ("tcp".equals(uri().getScheme())) {
            options.setSocketFactory(new PromptSockets());
        }
        config.caFile().ifPresent(file -> options.setSocketFactory(trusting(file)));
        return options;
    }

    private static SSLSocketFactory trusting(Path caFile) {
        try (InputStream pem = Files.newInputStream(caFile)) {
            KeyStore trusted = KeyStore.getInstance(KeyStore.getDefaultType());
            trusted.load(null, null);
            int number = 0;
            for (Certificate certificate : CertificateFactory.getInstance("X.509").generateCertificates(pem)) {
                trusted.setCertificateEntry("ca-" + number++, certificate);
            }
            if (number == 0) {
                throw new GeneralSecurityException("it holds no certificate");
            }
            TrustManagerFactory managers = TrustManagerFactory.getInstance(TrustManagerFactory.getDefaultAlgorithm());
            managers.init(trusted);
            SSLContext context = SSLContext.getInstance("TLS");
            context.init(null, managers.getTrustManagers(), null);
            return context.getSocketFactory();
        } catch (IOException | GeneralSecurityException failure) {
            throw new IllegalStateException("lampkeeper.broker.ca-file " + caFile + ": not a file of PEM certificates that can be read: "
                    + failure.getMessage(), failure);
        }
    }
}
