package org.lampkeeper.telemetry;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.net.URI;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.TimeoutException;

import jakarta.annotation.Priority;
import jakarta.enterprise.event.Observes;
import jakarta.inject.Inject;
import jakarta.inject.Singleton;

import com.github.benmanes.caffeine.cache.Ticker;
import io.quarkus.runtime.ShutdownEvent;
import io.quarkus.runtime.StartupEvent;
import org.apache.activemq.artemis.core.config.Configuration;
import org.apache.activemq.artemis.core.config.impl.ConfigurationImpl;
import org.apache.activemq.artemis.core.protocol.mqtt.MQTTSessionState;
import org.apache.activemq.artemis.core.protocol.mqtt.MQTTStateManager;
import org.apache.activemq.artemis.core.protocol.mqtt.MQTTUtil;
import org.apache.activemq.artemis.core.remoting.impl.netty.NettyAcceptor;
import org.apache.activemq.artemis.core.server.ActivateCallback;
import org.apache.activemq.artemis.core.server.ActiveMQLockAcquisitionTimeoutException;
import org.apache.activemq.artemis.core.server.ActiveMQServer;
import org.apache.activemq.artemis.core.server.JournalType;
import org.apache.activemq.artemis.core.server.Queue;
import org.apache.activemq.artemis.core.server.impl.ActiveMQServerImpl;
import org.apache.activemq.artemis.core.settings.impl.AddressFullMessagePolicy;
import org.apache.activemq.artemis.core.settings.impl.AddressSettings;
import org.jboss.logging.Logger;
import org.jspecify.annotations.Nullable;

/**
 * The broker of our own, inside this process: MQTT 3.1.1 and 5 on an address that is the loopback unless configured otherwise. A publish
 * is acknowledged once the journal is synced, so an acknowledged report survives the process; sessions, their waiting messages and
 * retained messages survive a restart. Nothing that was accepted is dropped: no expiry, no dead-letter address, no limit of deliveries,
 * and what exceeds the memory for waiting messages waits on disk.
 *
 * <p>It starts before everything that connects to it and stops after. Its own stop publishes no last will: that the broker went away says
 * nothing about a sensor's link.
 */
@Singleton
public class EmbeddedBroker {

    /**
     * Ours: eight times the largest report, so that a pack that is merely too long still arrives and is refused with a reason, while a
     * packet beyond that never takes memory from the neighbours.
     */
    static final int MAX_PACKET_BYTES = 64 * 1024;

    private static final Logger LOG = Logger.getLogger(EmbeddedBroker.class);

    private static final String CLEAR = "mqtt";
    private static final String TLS = "mqtts";
    // Ours: the lock is free at once unless another process uses the directory.
    private static final Duration LOCK_WAIT = Duration.ofSeconds(2);
    // Ours: a journal of millions of waiting messages is read in less.
    private static final Duration ACTIVATION = Duration.ofMinutes(2);
    // Ours: the packets already taken in are through in milliseconds.
    private static final Duration DRAIN = Duration.ofSeconds(2);
    // Ours: room for the journal to go on while an operator is told. A percentage would stop a broker on a large, well-filled disk.
    private static final long MIN_DISK_FREE = 64L * 1024 * 1024;
    // Ours: small, since each sensor's topic pages into a file of its own.
    private static final int PAGE_BYTES = 256 * 1024;
    private static final int THREADS = 16;

    private final BrokerConfig config;
    private final IngestLogin ingest;
    private final BrokerGuard guard;
    private final Configuration settings;
    private volatile BrokerGate.Lobby lobby = new BrokerGate.Lobby();
    private volatile @Nullable ActiveMQServer server;

    @Inject
    EmbeddedBroker(BrokerConfig config, SensorLogins logins, IngestLogin ingest) {
        this(config, logins, ingest, Ticker.systemTicker());
    }

    EmbeddedBroker(BrokerConfig config, SensorLogins logins, IngestLogin ingest, Ticker ticker) {
        this.config = config;
        this.ingest = ingest;
        this.settings = new ConfigurationImpl();
        this.guard = new BrokerGuard(logins, ingest,
                config.watcherPassword().map(password -> new IngestLogin(BrokerTopics.WATCHER, password)), config.loginKept(), settings.getWildcardConfiguration(), ticker);
    }

    void onStart(@Observes @Priority(100) StartupEvent event) {
        if (config.url().isEmpty()) {
            start();
        }
    }

    void onStop(@Observes @Priority(10_000) ShutdownEvent event) {
        stop();
    }

    /**
     * Returns when clients can connect.
     *
     * @throws IllegalStateException when the directory is in use by another process or the port is taken
     */
    synchronized void start() {
        if (server != null) {
            throw new IllegalStateException("embedded broker: already started");
        }
        long begun = System.nanoTime();
        lobby = new BrokerGate.Lobby();
        try {
            configure();
            ActiveMQServerImpl starting = new ActiveMQServerImpl(settings, null, guard);
            starting.addProtocolManagerFactory(new GatedMqtt(ingest.username(), lobby, MAX_PACKET_BYTES));
            activate(starting);
            server = starting;
        } catch (RuntimeException e) {
            throw e;
        } catch (Exception e) {
            throw new IllegalStateException("embedded broker in " + config.directory().toAbsolutePath() + " did not start", e);
        }
        LOG.infof("embedded broker ready on %s after %d ms, journal in %s", uri(), TimeUnit.NANOSECONDS.toMillis(System.nanoTime() - begun),
                config.directory().toAbsolutePath());
    }

    /** Starts and waits; the broker itself would only log that it could not, or wait for ever for its lock. */
    private void activate(ActiveMQServer starting) throws Exception {
        CompletableFuture<Void> activated = new CompletableFuture<>();
        starting.registerActivationFailureListener(activated::completeExceptionally);
        starting.registerActivateCallback(new ActivateCallback() {
            @Override
            public void activationComplete() {
                activated.complete(null);
            }
        });
        try {
            starting.start();
            activated.get(ACTIVATION.toMillis(), TimeUnit.MILLISECONDS);
            if (portOf(starting, CLEAR) <= 0 || config.tls().keyStore().isPresent() && portOf(starting, TLS) <= 0) {
                throw new ExecutionException("no listener", null);
            }
        } catch (TimeoutException e) {
            starting.stop();
            throw inUse(e);
        } catch (ExecutionException e) {
            starting.stop();
            Throwable root = e;
            while (root.getCause() != null) {
                root = root.getCause();
            }
            if (root instanceof ActiveMQLockAcquisitionTimeoutException) {
                throw inUse(e);
            }
            throw new IllegalStateException("embedded broker: cannot listen on " + config.host() + ":" + config.port()
                    + config.tls().keyStore().map(store -> " and over TLS on " + config.tls().host() + ":" + config.tls().port()).orElse("")
                    + ": " + root.getMessage() + "; see lampkeeper.broker.port and lampkeeper.broker.tls", e);
        }
    }

    private IllegalStateException inUse(Exception cause) {
        return new IllegalStateException("embedded broker: " + config.directory().toAbsolutePath()
                + " is in use by another process; set lampkeeper.broker.directory or stop that process", cause);
    }

    private void configure() throws Exception {
        Path directory = config.directory().toAbsolutePath();
        try {
            Files.createDirectories(directory);
        } catch (IOException e) {
            throw new UncheckedIOException("embedded broker: cannot make the directory " + directory + " (lampkeeper.broker.directory)", e);
        }
        settings.setName("lampkeeper");
        settings.setPersistenceEnabled(true);
        settings.setBindingsDirectory(directory.resolve("bindings").toString());
        settings.setJournalDirectory(directory.resolve("journal").toString());
        settings.setPagingDirectory(directory.resolve("paging").toString());
        settings.setLargeMessagesDirectory(directory.resolve("large").toString());
        settings.setJournalType(JournalType.NIO);
        settings.setJournalSyncTransactional(true);
        settings.setJournalSyncNonTransactional(true);
        settings.setJournalDatasync(true);
        settings.setJournalLockAcquisitionTimeout(LOCK_WAIT.toMillis());
        settings.setMinDiskFree(MIN_DISK_FREE);
        settings.setMaxDiskUsage(-1);
        settings.setGlobalMaxSize(config.queueMemory().asLongValue());

        settings.setSecurityEnabled(true);
        // The guard keeps accepted logins itself; the broker would also keep refused ones, and would keep accepted ones of retired sensors.
        settings.setAuthenticationCacheSize(0);
        settings.setAuthorizationCacheSize(0);
        settings.setClusterUser(IngestLogin.random("cluster").password());
        settings.setClusterPassword(IngestLogin.random("cluster").password());
        settings.setJMXManagementEnabled(false);
        settings.setSuppressSessionNotifications(true);
        settings.setThreadPoolMaxSize(THREADS);
        settings.setResolveProtocols(false);

        settings.clearAcceptorConfigurations();
        settings.addAcceptorConfiguration(CLEAR, acceptor(config.host(), config.port()));
        config.tls().keyStore().ifPresent(this::listenOverTls);

        settings.addAddressSetting("#", new AddressSettings()
                .setMaxDeliveryAttempts(-1)
                .setDeadLetterAddress(null)
                .setAutoCreateDeadLetterResources(false)
                .setExpiryAddress(null)
                .setExpiryDelay(-1L)
                .setNoExpiry(true)
                .setAutoCreateAddresses(true)
                .setAutoCreateQueues(false)
                .setAutoDeleteAddresses(false)
                .setAutoDeleteQueues(false)
                .setAddressFullMessagePolicy(AddressFullMessagePolicy.PAGE)
                .setPageSizeBytes(PAGE_BYTES)
                .setMaxSizeBytes(-1));
    }

    private void listenOverTls(Path keyStore) {
        try {
            settings.addAcceptorConfiguration(TLS, acceptor(config.tls().host(), config.tls().port()));
        } catch (Exception e) {
            throw new IllegalStateException("embedded broker: " + config.tls().host() + ":" + config.tls().port()
                    + " is no address to listen on (lampkeeper.broker.tls.host, lampkeeper.broker.tls.port)", e);
        }
        settings.getAcceptorConfigurations().stream().filter(acceptor -> TLS.equals(acceptor.getName())).forEach(acceptor -> {
            acceptor.getParams().put("sslEnabled", "true");
            acceptor.getParams().put("keyStoreType", "PKCS12");
            acceptor.getParams().put("keyStorePath", keyStore.toAbsolutePath().toString());
            acceptor.getParams().put("keyStorePassword", config.tls().keyStorePassword().orElse(""));
        });
    }

    private static String acceptor(String host, int port) {
        return "tcp://" + host + ":" + port + "?protocols=MQTT;useEpoll=false;useKQueue=false;maximumPacketSize=" + MAX_PACKET_BYTES;
    }

    private static int portOf(ActiveMQServer server, String acceptor) {
        return server.getRemotingService().getAcceptor(acceptor) instanceof NettyAcceptor netty ? netty.getActualPort() : -1;
    }

    /** Returns when the journal is closed. Packets on their way are either acknowledged or not accepted. Does nothing when not started. */
    synchronized void stop() {
        ActiveMQServer stopping = server;
        if (stopping == null) {
            return;
        }
        server = null;
        try {
            MQTTStateManager.getInstance(stopping).getSessionStates().values().forEach(EmbeddedBroker::forgetWill);
            lobby.close();
            awaitDrained(stopping);
            stopping.stop();
            LOG.info("embedded broker stopped");
        } catch (Exception e) {
            throw new IllegalStateException("embedded broker in " + config.directory().toAbsolutePath() + " did not stop cleanly", e);
        }
    }

    private static void forgetWill(MQTTSessionState session) {
        session.setWill(false);
    }

    /** A subscription that fails half way while the broker closes under it would take its queue along, so the clients go first. */
    private static void awaitDrained(ActiveMQServer stopping) throws InterruptedException {
        long end = System.nanoTime() + DRAIN.toNanos();
        while (stopping.getConnectionCount() > 0 && System.nanoTime() < end) {
            TimeUnit.MILLISECONDS.sleep(10);
        }
    }

    /** Whether clients can connect. False too after the broker has stopped itself, as it does when its disk fails. */
    public boolean isRunning() {
        ActiveMQServer running = server;
        return running != null && running.isActive();
    }

    /**
     * Where the ingest client connects: the external broker if one is configured, otherwise the broker of our own.
     *
     * @throws IllegalStateException when neither is there
     */
    public URI uri() {
        if (config.url().isPresent()) {
            return config.url().get();
        }
        String host = config.host().equals("0.0.0.0") ? "127.0.0.1" : config.host();
        return URI.create("tcp://" + host + ":" + portOf(started(), CLEAR));
    }

    /** Ends the sensor's connections and asks the register before it is let in again. For a sensor that was retired or got a new secret. */
    public void cutOff(String deviceId) {
        guard.forget(deviceId);
        lobby.cutOff(deviceId);
    }

    /**
     * What the broker can say about itself now.
     *
     * @throws IllegalStateException when it is not started
     */
    public BrokerFigures figures() {
        ActiveMQServer running = started();
        long waiting = BrokerTopics.allOfSensors().stream().mapToLong(topic -> waiting(running, topic)).sum();
        return new BrokerFigures(lobby.connections(), waiting, guard.refusedLogins() + lobby.refusedClientIds(),
                guard.refusedTopics() + lobby.refusedPackets());
    }

    private long waiting(ActiveMQServer running, String topic) {
        Queue queue = running.locateQueue(MQTTUtil.getCoreQueueFromMqttTopic(BrokerTopics.sharedInside(topic), "", settings.getWildcardConfiguration()));
        return queue == null ? 0 : queue.getMessageCount();
    }

    /** The port for sensors over TLS. */
    int tlsPort() {
        return portOf(started(), TLS);
    }

    private ActiveMQServer started() {
        ActiveMQServer running = server;
        if (running == null) {
            throw new IllegalStateException("embedded broker: not started");
        }
        return running;
    }
}
