package org.lampkeeper.telemetry;

import java.nio.charset.StandardCharsets;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.time.Duration;
import java.util.Optional;
import java.util.Set;
import java.util.concurrent.Semaphore;
import java.util.concurrent.atomic.AtomicBoolean;
import java.util.concurrent.atomic.LongAdder;

import javax.security.auth.Subject;

import com.github.benmanes.caffeine.cache.Cache;
import com.github.benmanes.caffeine.cache.Caffeine;
import com.github.benmanes.caffeine.cache.Ticker;
import org.apache.activemq.artemis.core.config.WildcardConfiguration;
import org.apache.activemq.artemis.core.protocol.mqtt.MQTTUtil;
import org.apache.activemq.artemis.core.security.CheckType;
import org.apache.activemq.artemis.core.security.Role;
import org.apache.activemq.artemis.spi.core.protocol.RemotingConnection;
import org.apache.activemq.artemis.spi.core.security.ActiveMQSecurityManager5;
import org.apache.activemq.artemis.spi.core.security.jaas.UserPrincipal;
import org.jboss.logging.Logger;
import org.jspecify.annotations.Nullable;

/**
 * Who may log in at the broker of our own, and what they may touch: a sensor writes its own two topics and reads nothing; the ingest
 * client reads all and writes below {@link Topics#INGEST} and the heartbeat; the watcher reads the heartbeat. The broker asks at every publish, so a sensor that the register no longer
 * knows is refused at the latest when its accepted login has grown old.
 */
final class BrokerGuard implements ActiveMQSecurityManager5 {

    private static final Logger LOG = Logger.getLogger(BrokerGuard.class);

    // Ours: a storm of reconnects must leave the pool of database connections (20) to the reports.
    private static final int LOOKUPS_AT_ONCE = 4;
    // Ours: twice the fleet that one machine is built for.
    private static final int LOGINS_REMEMBERED = 200_000;

    private final SensorLogins logins;
    private final IngestLogin ingest;
    private final Optional<IngestLogin> watcher;
    private final long keptNanos;
    private final Ticker ticker;
    private final WildcardConfiguration wildcards;
    private final Semaphore lookups = new Semaphore(LOOKUPS_AT_ONCE);
    private final Cache<String, Accepted> accepted = Caffeine.newBuilder().maximumSize(LOGINS_REMEMBERED).build();
    private final AtomicBoolean registerAway = new AtomicBoolean();
    private final LongAdder refusedLogins = new LongAdder();
    private final LongAdder refusedTopics = new LongAdder();

    private record Accepted(byte[] digest, long at) {
    }

    BrokerGuard(SensorLogins logins, IngestLogin ingest, Optional<IngestLogin> watcher, Duration kept, WildcardConfiguration wildcards, Ticker ticker) {
        this.logins = logins;
        this.ingest = ingest;
        this.watcher = watcher;
        this.keptNanos = kept.toNanos();
        this.ticker = ticker;
        this.wildcards = wildcards;
    }

    @Override
    public @Nullable Subject authenticate(@Nullable String user, @Nullable String password, @Nullable RemotingConnection connection,
            @Nullable String securityDomain) {
        if (user != null && password != null && isRight(user, password)) {
            Subject subject = new Subject();
            subject.getPrincipals().add(new UserPrincipal(user));
            return subject;
        }
        refusedLogins.increment();
        return null;
    }

    private boolean isRight(String user, String password) {
        byte[] digest = digest(password);
        if (user.equals(ingest.username())) {
            return MessageDigest.isEqual(digest, digest(ingest.password()));
        }
        if (watcher.isPresent() && user.equals(watcher.get().username())) {
            return MessageDigest.isEqual(digest, digest(watcher.get().password()));
        }
        if (!BrokerTopics.isDeviceId(user)) {
            return false;
        }
        Accepted before = accepted.getIfPresent(user);
        boolean sameAsBefore = before != null && MessageDigest.isEqual(digest, before.digest());
        if (sameAsBefore && ticker.read() - before.at() < keptNanos) {
            return true;
        }
        boolean right;
        try {
            right = ask(user, password);
            if (registerAway.compareAndSet(true, false)) {
                LOG.info("register answers again: sensors' logins are checked against it");
            }
        } catch (RuntimeException away) {
            // While the database is away the broker goes on taking in reports of sensors that it knows; they wait here until it is back.
            if (!sameAsBefore) {
                throw away;
            }
            if (registerAway.compareAndSet(false, true)) {
                LOG.warn("register does not answer: sensors whose login was accepted before stay accepted until it does", away);
            }
            right = true;
        }
        if (right) {
            accepted.put(user, new Accepted(digest, ticker.read()));
        } else if (sameAsBefore) {
            accepted.invalidate(user);
        }
        return right;
    }

    private boolean ask(String deviceId, String secret) {
        lookups.acquireUninterruptibly();
        try {
            return logins.accepts(deviceId, secret);
        } finally {
            lookups.release();
        }
    }

    @Override
    public boolean authorize(@Nullable Subject subject, @Nullable Set<Role> roles, CheckType checkType, String address) {
        boolean allowed = subject != null && mayDo(getUserFromSubject(subject), checkType, address);
        if (!allowed) {
            refusedTopics.increment();
        }
        return allowed;
    }

    private boolean mayDo(@Nullable String user, CheckType checkType, String address) {
        if (user == null) {
            return false;
        }
        if (user.equals(BrokerTopics.WATCHER)) {
            // The broker asks for a queue as "address::queue".
            String heartbeat = address(Topics.HEARTBEAT);
            return checkType != CheckType.SEND && checkType != CheckType.MANAGE && (address.equals(heartbeat) || address.startsWith(heartbeat + "::"));
        }
        boolean writes = checkType == CheckType.SEND || checkType == CheckType.CREATE_ADDRESS;
        if (!user.equals(ingest.username())) {
            return writes && BrokerTopics.writableBy(user).stream().map(this::address).anyMatch(address::equals);
        }
        if (checkType == CheckType.SEND) {
            return address.startsWith(address(BrokerTopics.INGEST)) || address.equals(address(Topics.HEARTBEAT));
        }
        return checkType != CheckType.MANAGE && address.startsWith(address(BrokerTopics.ROOT));
    }

    /** The broker's own spelling of a topic. */
    private String address(String topic) {
        return MQTTUtil.getCoreAddressFromMqttTopic(topic, wildcards);
    }

    /** Asks the register at the next occasion, whatever was accepted before. */
    void forget(String deviceId) {
        accepted.invalidate(deviceId);
    }

    long refusedLogins() {
        return refusedLogins.sum();
    }

    long refusedTopics() {
        return refusedTopics.sum();
    }

    private static byte[] digest(String password) {
        try {
            return MessageDigest.getInstance("SHA-256").digest(password.getBytes(StandardCharsets.UTF_8));
        } catch (NoSuchAlgorithmException e) {
            throw new IllegalStateException("SHA-256 is missing, though every Java platform must have it", e);
        }
    }

    @Override
    public boolean validateUser(String user, String password) {
        throw new IllegalStateException("the broker asked for " + user + " in the old way, which knows no connection");
    }

    @Override
    public boolean validateUserAndRole(String user, String password, Set<Role> roles, CheckType checkType) {
        throw new IllegalStateException("the broker asked for " + user + " in the old way, which knows no address");
    }
}
