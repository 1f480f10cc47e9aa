package org.lampkeeper.telemetry;

import java.net.URI;
import java.nio.file.Path;
import java.time.Duration;
import java.util.Optional;

import jakarta.validation.constraints.Max;
import jakarta.validation.constraints.Min;
import jakarta.validation.constraints.Pattern;

import io.quarkus.runtime.configuration.MemorySize;
import io.smallrye.config.ConfigMapping;
import io.smallrye.config.WithDefault;

/** Which broker the sensors speak to. Without {@link #url()} Lampkeeper runs one inside its own process. */
@ConfigMapping(prefix = "lampkeeper.broker")
public interface BrokerConfig {

    /** See {@link #username()}. */
    String DEFAULT_USERNAME = "lampkeeper-ingest";

    /** An external broker, {@code tcp://host:1883} or {@code ssl://host:8883}; with it, no broker of our own is started. */
    Optional<URI> url();

    /** How the ingest client logs in; also its account in an exported password file. Begins with {@code lampkeeper-}, which no sensor's id does. */
    @WithDefault(DEFAULT_USERNAME)
    @Pattern(regexp = "lampkeeper-[A-Za-z0-9_-]+")
    String username();

    /** The ingest client's password at the external broker. The broker of our own needs none: it makes a random one at each start. */
    Optional<String> password();

    /**
     * The password of the login {@code lampkeeper-watcher}, which may read the heartbeat and nothing else; at the broker of our own and in an
     * exported password file. Without it there is no such login.
     */
    Optional<String> watcherPassword();

    /** Certificates (PEM) that the external broker's own certificate is checked against, instead of the machine's. */
    Optional<Path> caFile();

    /** The address on which the broker of our own listens in the clear; {@code 0.0.0.0} opens it to every network of the machine. */
    @WithDefault("127.0.0.1")
    String host();

    /** The port of {@link #host()}; 0 takes a free one. */
    @WithDefault("1883")
    @Min(0)
    @Max(65535)
    int port();

    /** A second way in for sensors over TLS; without a key store there is none. */
    Tls tls();

    /** Where the broker of our own keeps its journal; on a local disk that honours a sync. */
    @WithDefault("data/broker")
    Path directory();

    /**
     * Lets several instances share the reports of an external broker, as a group of this name. Without it one instance takes them all in
     * and the others stand by: what a broker that forgets shared subscriptions at its restart does not lose. Mosquitto lets every login
     * join a group whose name it knows, so there the name must be hard to guess.
     */
    Optional<@Pattern(regexp = "[A-Za-z0-9][A-Za-z0-9_-]*") String> shareName();

    /** How much of the broker's waiting messages stays in memory; what is more waits on disk. */
    @WithDefault("64M")
    MemorySize queueMemory();

    /** How long a sensor's accepted login is believed before the register is asked again. A refused one is never remembered. */
    @WithDefault("PT5M")
    Duration loginKept();

    /** The TLS listener of the broker of our own. */
    interface Tls {

        /** The address on which it listens; the default is every network of the machine. */
        @WithDefault("0.0.0.0")
        String host();

        /** The port; 0 takes a free one. */
        @WithDefault("8883")
        @Min(0)
        @Max(65535)
        int port();

        /** PKCS #12 file with the broker's key and its certificate chain. */
        Optional<Path> keyStore();

        /** The password of {@link #keyStore()}. */
        Optional<String> keyStorePassword();
    }
}
