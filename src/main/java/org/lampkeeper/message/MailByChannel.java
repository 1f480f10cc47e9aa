package org.lampkeeper.message;

import java.time.Duration;
import java.util.Optional;

import jakarta.inject.Singleton;

import org.lampkeeper.journal.Head;

/** Mail, by SMTP or as files. Always offered: an installation without a mail server writes files. */
@Singleton
class MailByChannel implements Channel {

    static final String KIND = "MAIL";

    private final MailChannel mail;
    private final MessageConfig config;
    private final MailConfig.Bounces returned;

    MailByChannel(MailChannel mail, MessageConfig config, MailConfig mailConfig) {
        this.mail = mail;
        this.config = config;
        this.returned = mailConfig.bounces();
    }

    @Override
    public String kind() {
        return KIND;
    }

    @Override
    public String label() {
        return "mail";
    }

    @Override
    public boolean isOffered() {
        return true;
    }

    @Override
    public String address(String entered) {
        String stripped = entered.strip();
        if (!OutgoingMail.isAddress(stripped) || stripped.length() > 254) {
            throw new AddressRefused("must be one mail address, such as m.teal@quay.example");
        }
        return stripped;
    }

    @Override
    public Handover handOver(OutgoingMessage message, Head journal) {
        OutgoingMail written = new OutgoingMail(message, MailChannels.sender(config), config.address(""), returned.address(), journal);
        Handover answer = written.isAddressed() ? mail.handOver(written) : new Handover.Refused("there is no mail address to send it to");
        // A mail that comes back is known by its key.
        return answer instanceof Handover.Accepted && returned.address().isPresent() ? new Handover.Accepted(Optional.of(message.key())) : answer;
    }

    @Override
    public boolean tellsHead() {
        return true;
    }

    @Override
    public Duration timeout() {
        return mail.timeout();
    }

    @Override
    public Optional<String> wentAs() {
        return mail.transport() == MailConfig.Transport.FILE ? Optional.of("FILE") : Optional.empty();
    }

    @Override
    public String transport() {
        return mail.transport().name();
    }
}
