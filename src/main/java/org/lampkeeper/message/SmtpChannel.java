package org.lampkeeper.message;

import java.time.Duration;
import java.util.Set;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.TimeoutException;
import java.util.function.Function;

import javax.net.ssl.SSLException;

import io.vertx.core.Context;
import io.vertx.ext.mail.MailClient;
import io.vertx.ext.mail.MailMessage;
import io.vertx.ext.mail.SMTPException;

import org.lampkeeper.message.MailConfig.Transport;

/** Hands mail to the SMTP server of the installation. */
final class SmtpChannel implements MailChannel {

    /** How the client words the two refusals that concern this message alone; all others concern us as a sender. */
    private static final Set<String> ABOUT_THIS_MESSAGE = Set.of("recipient address not accepted", "sending data failed");

    private final MailClient client;
    private final Context loop;
    private final Duration timeout;

    /**
     * @param loop the one event loop that everything said to the server goes by. The client begins to listen to a new connection on the
     *             loop that asked for it, while the connection lives on the loop of whichever caller opened it: with two loops, a server
     *             that greets at once is not heard.
     */
    SmtpChannel(MailClient client, Context loop, Duration timeout) {
        if (!loop.isEventLoopContext()) {
            throw new IllegalArgumentException("mail cannot go by " + loop + ", must be an event loop");
        }
        this.client = client;
        this.loop = loop;
        this.timeout = timeout;
    }

    @Override
    public Handover handOver(OutgoingMail mail) {
        try {
            MailMessage message = mail.asMime();
            CompletableFuture.supplyAsync(() -> client.sendMail(message).toCompletionStage(), sending -> loop.runOnContext(go -> sending.run()))
                    .thenCompose(Function.identity())
                    .get(timeout.toMillis(), TimeUnit.MILLISECONDS);
            return new Handover.Accepted();
        } catch (TimeoutException silent) {
            return new Handover.Unreachable("mail server gave no answer within " + timeout.toSeconds() + " s");
        } catch (InterruptedException stopped) {
            Thread.currentThread().interrupt();
            return new Handover.Deferred("interrupted: this instance stops");
        } catch (ExecutionException failed) {
            return answer(failed.getCause());
        }
    }

    private static Handover answer(Throwable failure) {
        String reason = String.valueOf(failure.getMessage());
        if (failure instanceof SMTPException answered && ABOUT_THIS_MESSAGE.stream().anyMatch(reason::startsWith)) {
            return answered.isPermanent() ? new Handover.Refused(reason) : new Handover.Deferred(reason);
        }
        // The client reads the addresses before it connects.
        return failure instanceof IllegalArgumentException
                ? new Handover.Refused("address cannot be used in a mail: " + reason)
                : new Handover.Unreachable(inWords(failure, reason));
    }

    /** What concerns the setting up, so that whoever reads it knows which setting. Each is said of the server, and nothing has left. */
    private static String inWords(Throwable failure, String reason) {
        if (reason.startsWith("AUTH ")) {
            return "the mail server does not take the user name or the password of quarkus.mailer: " + reason;
        }
        if (reason.startsWith("login is required")) {
            return "the mail server offers no way to sign in, and quarkus.mailer has a user name: " + reason;
        }
        if (reason.startsWith("STARTTLS required")) {
            return "the mail server does not offer STARTTLS, without which nothing may be sent: " + reason;
        }
        for (Throwable cause = failure; cause != null; cause = cause.getCause()) {
            if (cause instanceof SSLException) {
                return "the certificate of the mail server is not trusted, or is for another name than quarkus.mailer.host: " + cause.getMessage();
            }
        }
        return reason;
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
