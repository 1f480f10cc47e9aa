package org.lampkeeper.message;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.Executors;
import java.util.concurrent.ScheduledExecutorService;
import java.util.concurrent.TimeUnit;

import jakarta.annotation.PreDestroy;
import jakarta.enterprise.event.Observes;
import jakarta.inject.Inject;
import jakarta.inject.Singleton;

import io.quarkus.runtime.StartupEvent;
import org.jboss.logging.Logger;

import org.lampkeeper.journal.Head;

/** SMS, offered once a short message centre is set. */
@Singleton
class SmsChannel implements Channel {

    static final String KIND = "SMS";
    private static final Logger LOG = Logger.getLogger(SmsChannel.class);

    private final SmsConfig config;
    private final SmppLine line;
    private final ScheduledExecutorService keeper = Executors.newSingleThreadScheduledExecutor(work -> {
        Thread thread = new Thread(work, "sms-line-keeper");
        thread.setDaemon(true);
        return thread;
    });

    @Inject
    SmsChannel(SmsConfig config, Arrivals arrivals, ReplyParts replies) {
        this(config, (networkId, hasArrived, reason) -> {
            if (hasArrived) {
                arrivals.arrived(KIND, networkId);
            } else {
                arrivals.notArrived(KIND, networkId, reason);
            }
        }, (sender, senders, text) -> replies.heard(KIND, sender, senders, text));
    }

    SmsChannel(SmsConfig config, SmppLine.Receipts receipts, Texts texts) {
        this.config = config;
        line = new SmppLine(config, receipts, (sender, isInternational, text) -> texts.text(sender, senders(sender, isInternational), text));
    }

    /** What somebody sent, with what their number may mean in E.164, the likeliest first. As for {@link SmppLine.Texts}. */
    interface Texts {
        void text(String sender, List<String> senders, Optional<HeardText> text);
    }

    /** Networks do not agree on whether they say that a number is whole. */
    private List<String> senders(String sender, boolean isInternational) {
        List<String> found = new ArrayList<>();
        String whole = "+" + sender.replace("+", "");
        for (String each : !isNumber(sender) ? List.<String>of() : isInternational ? List.of(whole) : List.of(sender, whole)) {
            try {
                found.add(address(each));
            } catch (AddressRefused isNone) {
                LOG.debug("a text came from what is no number in this form");
            }
        }
        return found;
    }

    static boolean isNumber(String sender) {
        return sender.matches("\\+?[0-9]+");
    }

    /** Whether a person can answer: a name that stands as the sender cannot be written to. */
    boolean hearsReplies() {
        return isOffered() && config.replies() && config.sender().filter(it -> !isNumber(it)).isEmpty();
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
