package org.lampkeeper.message;

import java.time.Duration;
import java.util.Set;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.TimeoutException;

import io.vertx.ext.mail.MailClient;
import io.vertx.ext.mail.SMTPException;

import org.lampkeeper.message.MailConfig.Transport;

/** Hands mail to the SMTP server of the installation. */
final class SmtpChannel implements MailChannel {

    /** How the client words the two refusals that concern this message alone; all others concern us as a sender. */
    private static final Set<String> ABOUT_THIS_MESSAGE = Set.of("recipient address not accepted", "sending data failed");

    private final MailClient client;
    private final Duration timeout;

    SmtpChannel(MailClient client, Duration timeout) {
        this.client = client;
        this.timeout = timeout;
    }

    @Override
    public Handover handOver(OutgoingMail mail) {
        try {
            client.sendMail(mail.asMime()).toCompletionStage().toCompletableFuture().get(timeout.toMillis(), TimeUnit.MILLISECONDS);
            return new Handover.Accepted();
        } catch (TimeoutException silent) {
            return new Handover.Unreachable("mail server gave no answer within " + timeout.toSeconds() + " s");
        } catch (InterruptedException stopped) {
            Thread.currentThread().interrupt();
            return new Handover.Deferred("interrupted: this instance stops");
        } catch (ExecutionException failed) {
            return answer(failed.getCause());
        } catch (IllegalArgumentException unusable) {
            // The client reads the addresses before it connects.
            return new Handover.Refused("address cannot be used in a mail: " + unusable.getMessage());
        }
    }

    private static Handover answer(Throwable failure) {
        String reason = String.valueOf(failure.getMessage());
        if (failure instanceof SMTPException answered && ABOUT_THIS_MESSAGE.stream().anyMatch(reason::startsWith)) {
            return answered.isPermanent() ? new Handover.Refused(reason) : new Handover.Deferred(reason);
        }
        return failure instanceof IllegalArgumentException ? new Handover.Refused(reason) : new Handover.Unreachable(reason);
    }

    @Override
    public Duration timeout() {
        return timeout;
    }

    @Override
    public Transport transport() {
        return Transport.SMTP;
    }
}
