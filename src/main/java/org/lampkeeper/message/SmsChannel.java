package org.lampkeeper.message;

import java.time.Duration;
import java.util.concurrent.Executors;
import java.util.concurrent.ScheduledExecutorService;
import java.util.concurrent.TimeUnit;

import jakarta.annotation.PreDestroy;
import jakarta.enterprise.event.Observes;
import jakarta.inject.Inject;
import jakarta.inject.Singleton;

import io.quarkus.runtime.StartupEvent;

import org.lampkeeper.journal.Head;

/** SMS, offered once a short message centre is set. */
@Singleton
class SmsChannel implements Channel {

    static final String KIND = "SMS";

    private final SmsConfig config;
    private final SmppLine line;
    private final ScheduledExecutorService keeper = Executors.newSingleThreadScheduledExecutor(work -> {
        Thread thread = new Thread(work, "sms-line-keeper");
        thread.setDaemon(true);
        return thread;
    });

    @Inject
    SmsChannel(SmsConfig config, Arrivals arrivals) {
        this(config, (networkId, hasArrived, reason) -> {
            if (hasArrived) {
                arrivals.arrived(KIND, networkId);
            } else {
                arrivals.notArrived(KIND, networkId, reason);
            }
        });
    }

    SmsChannel(SmsConfig config, SmppLine.Receipts receipts) {
        this.config = config;
        line = new SmppLine(config, receipts);
    }

    void start(@Observes StartupEvent started) {
        if (isOffered()) {
            keepLine();
        }
    }

    private void keepLine() {
        line.keep();
        keeper.schedule(this::keepLine, SmppLine.pause(config.timeout()).toMillis(), TimeUnit.MILLISECONDS);
    }

    @PreDestroy
    void stop() {
        keeper.shutdownNow();
        line.close();
    }

    @Override
    public String kind() {
        return KIND;
    }

    @Override
    public String label() {
        return "SMS";
    }

    @Override
    public boolean isOffered() {
        return config.host().isPresent();
    }

    @Override
    public String address(String entered) {
        return PhoneNumbers.e164(entered, config.country());
    }

    @Override
    public Handover handOver(OutgoingMessage message, Head journal) {
        return line.send(message.address(), message.brief().orElse(message.subject()), (int) (message.id() & 0xFF));
    }

    @Override
    public Duration timeout() {
        return line.timeout();
    }
}
