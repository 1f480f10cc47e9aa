package org.lampkeeper.message;

import java.nio.file.Path;
import java.time.Duration;
import java.util.Locale;
import java.util.Optional;
import java.util.concurrent.TimeUnit;
import java.util.function.Predicate;

import jakarta.enterprise.inject.Produces;
import jakarta.inject.Singleton;

import io.quarkus.mailer.runtime.MailerRuntimeConfig;
import io.quarkus.mailer.runtime.Mailers;
import io.quarkus.mailer.runtime.MailersRuntimeConfig;
import io.quarkus.tls.TlsConfigurationRegistry;
import io.quarkus.tls.runtime.config.TlsConfigUtils;
import io.vertx.core.Context;
import io.vertx.core.Vertx;
import io.vertx.core.impl.VertxInternal;
import io.vertx.ext.mail.LoginOption;
import io.vertx.ext.mail.MailClient;
import io.vertx.ext.mail.StartTLSOptions;
import org.eclipse.microprofile.config.ConfigProvider;
import org.eclipse.microprofile.config.ConfigValue;
import org.jboss.logging.Logger;

import org.lampkeeper.message.MailConfig.Transport;

/**
 * Decides at start by which way mail leaves.
 *
 * <p>For SMTP this is the mail client of the Quarkus mailer, under the mailer's own settings, but with time-outs, which the mailer gives it
 * none of: a server that accepts connections and then says nothing would keep each of the ten connections for ever, and after ten mails
 * none would leave until a restart (docs/decisions/0009-mail-client-with-time-outs.md).
 */
class MailChannels {

    private static final Logger LOG = Logger.getLogger(MailChannels.class);

    @Produces
    @Singleton
    MailChannel channel(MailConfig config, MessageConfig messages, MailersRuntimeConfig mailers, TlsConfigurationRegistry tls, Vertx vertx) {
        if (messages.lease().compareTo(config.timeout()) <= 0) {
            throw new IllegalStateException("lampkeeper.message.lease is " + messages.lease() + ", must be longer than lampkeeper.mail.timeout, "
                    + config.timeout() + ": a mail still on its way would be sent a second time");
        }
        if (!goesBySmtp(config.transport())) {
            Path folder = Path.of(config.folder());
            LOG.infof("no mail server is set: mails are written to %s", folder.toAbsolutePath());
            return new EmlFolder(folder, config.timeout());
        }
        MailerRuntimeConfig mailer = mailers.mailers().get(Mailers.DEFAULT_MAILER_NAME);
        if (messages.from().or(mailer::from).isEmpty()) {
            throw new IllegalStateException("lampkeeper.message.from is not set, must be a sender that " + mailer.host()
                    + " accepts: mail goes by SMTP");
        }
        return new SmtpChannel(MailClient.create(vertx, settings(mailer, tls, config.timeout(), MailChannels::isChosen)), loop(vertx), config.timeout());
    }

    /** An event loop for all mail, also when asked for by a thread that has a context of another kind. */
    static Context loop(Vertx vertx) {
        return ((VertxInternal) vertx).createEventLoopContext();
    }

    private static boolean goesBySmtp(Transport wanted) {
        return switch (wanted) {
            case SMTP -> true;
            case FILE -> false;
            case AUTO -> isChosen("quarkus.mailer.host");
        };
    }

    /** Whether somebody has set it. The mailer's own default, such as localhost, has the lowest rank there is. */
    private static boolean isChosen(String setting) {
        ConfigValue value = ConfigProvider.getConfig().getConfigValue(setting);
        return value.getValue() != null && value.getSourceOrdinal() > Integer.MIN_VALUE;
    }

    /** The sender's address, as it stands behind "From:". */
    static String sender(MessageConfig messages) {
        return messages.from()
                .or(() -> ConfigProvider.getConfig().getOptionalValue("quarkus.mailer.from", String.class))
                .orElse("Lampkeeper <lampkeeper@localhost>");
    }

    /**
     * With a password it must be encrypted and asked for, unless somebody has chosen otherwise: the mailer's own defaults send it in the
     * clear when whoever sits in between takes STARTTLS out of the server's offer.
     */
    static io.vertx.ext.mail.MailConfig settings(MailerRuntimeConfig mailer, TlsConfigurationRegistry tls, Duration timeout,
            Predicate<String> isChosen) {
        refuseUnsupported(mailer);
        boolean signsIn = mailer.username().isPresent() && mailer.password().isPresent();
        boolean encrypted = mailer.tls().orElse(mailer.ssl());
        int quiet = Math.toIntExact(timeout.toMillis());
        io.vertx.ext.mail.MailConfig settings = new io.vertx.ext.mail.MailConfig()
                .setHostname(mailer.host())
                .setPort(mailer.port().orElse(encrypted ? 465 : 25))
                .setStarttls(signsIn && !encrypted && !isChosen.test("quarkus.mailer.start-tls") ? StartTLSOptions.REQUIRED
                        : StartTLSOptions.valueOf(mailer.startTLS().toUpperCase(Locale.ROOT)))
                .setLogin(signsIn && !isChosen.test("quarkus.mailer.login") ? LoginOption.REQUIRED
                        : LoginOption.valueOf(mailer.login().toUpperCase(Locale.ROOT)))
                .setMaxPoolSize(mailer.maxPoolSize())
                .setKeepAlive(mailer.keepAlive())
                .setDisableEsmtp(mailer.disableEsmtp())
                .setPipelining(mailer.pipelining())
                .setConnectTimeout(quiet)
                .setSslHandshakeTimeout(quiet)
                .setSslHandshakeTimeoutUnit(TimeUnit.MILLISECONDS)
                .setIdleTimeout(quiet)
                .setIdleTimeoutUnit(TimeUnit.MILLISECONDS)
                // A connection in reserve is given back well before the idle time-out would cut it under a new mail.
                .setKeepAliveTimeout(quiet / 2)
                .setKeepAliveTimeoutUnit(TimeUnit.MILLISECONDS)
                .setPoolCleanerPeriod(Math.max(1, quiet / 10))
                .setPoolCleanerPeriodUnit(TimeUnit.MILLISECONDS);
        mailer.username().ifPresent(settings::setUsername);
        mailer.password().ifPresent(settings::setPassword);
        mailer.authMethods().ifPresent(settings::setAuthMethods);
        mailer.ownHostName().ifPresent(settings::setOwnHostname);
        mailer.maxMailsPerConnection().ifPresent(settings::setMaxMailsPerConnection);
        Optional<String> tlsName = mailer.tlsConfigurationName();
        if (tlsName.isPresent()) {
            TlsConfigUtils.configure(settings, tls.get(tlsName.get()).orElseThrow(() -> new IllegalStateException(
                    "quarkus.mailer.tls-configuration-name is '" + tlsName.get() + "', must be the name of a quarkus.tls configuration")));
        } else {
            tls.getDefault().ifPresent(standard -> TlsConfigUtils.configure(settings, standard));
        }
        mailer.trustAll().ifPresent(settings::setTrustAll);
        // After the TLS configuration, which turns encryption on: with STARTTLS a connection must begin without.
        settings.setSsl(encrypted);
        return settings;
    }

    private static void refuseUnsupported(MailerRuntimeConfig mailer) {
        if (mailer.keyStore().isPresent() || mailer.truststore().isConfigured()) {
            throw new IllegalStateException("quarkus.mailer.key-store and quarkus.mailer.truststore are not supported; set"
                    + " quarkus.tls.*.trust-store and name it in quarkus.mailer.tls-configuration-name");
        }
        if (mailer.dkim().enabled()) {
            throw new IllegalStateException("quarkus.mailer.dkim is not supported; let the mail server sign");
        }
    }
}
