package org.lampkeeper.message;

import java.time.Clock;
import java.time.Duration;
import java.util.Optional;

import jakarta.inject.Singleton;

import org.jboss.logging.Logger;

import org.lampkeeper.journal.Head;

/** Mail, by SMTP or as files. Always offered: an installation without a mail server writes files. */
@Singleton
class MailByChannel implements Channel {

    static final String KIND = "MAIL";

    private static final Logger LOG = Logger.getLogger(MailByChannel.class);
    // Ours: with its text and its base64 (RFC 2045) a mail stays below 60 kB.
    private static final int LARGEST_PICTURE = 30_000;
    // Ours: a tenth of a second for drawing is nothing for one mail and too long for the last of a thousand.
    private static final Duration LATE = Duration.ofSeconds(30);

    private final MailChannel mail;
    private final MessageConfig config;
    private final MailConfig.Bounces returned;
    private final MailPictures pictures;
    private final MailPapers papers;
    private final Clock clock;

    MailByChannel(MailChannel mail, MessageConfig config, MailConfig mailConfig, MailPictures pictures, MailPapers papers, Clock clock) {
        this.mail = mail;
        this.config = config;
        this.returned = mailConfig.bounces();
        this.pictures = pictures;
        this.papers = papers;
        this.clock = clock;
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
        Handover answer = written.isAddressed() ? mail.handOver(written.with(picture(message), paper(message))) : new Handover.Refused("there is no mail address to send it to");
        // A mail that comes back is known by its key.
        return answer instanceof Handover.Accepted && returned.address().isPresent() ? new Handover.Accepted(Optional.of(message.key())) : answer;
    }

    /**
     * Of what is known at this moment. Never in the way of the words: whatever goes wrong, a machine without the libraries for images too, the mail
     * goes without, and so does one that is late already, as of hundreds at once.
     */
    private Optional<MailPicture> picture(OutgoingMessage message) {
        boolean isLate = message.createdAt().plus(LATE).isBefore(clock.instant());
        if (message.purpose() != Purpose.ALARM || message.alarmId().isEmpty() || isLate) {
            return Optional.empty();
        }
        try {
            Optional<MailPicture> drawn = pictures.of(message.alarmId().getAsLong(), clock.instant());
            if (drawn.isPresent() && drawn.get().png().length > LARGEST_PICTURE) {
                throw new IllegalStateException("picture of alarm " + message.alarmId().getAsLong() + ": " + drawn.get().png().length + " bytes, must be at most "
                        + LARGEST_PICTURE);
            }
            return drawn;
        } catch (RuntimeException | LinkageError failed) {
            LOG.errorf(failed, "%s goes without its picture, which could not be drawn", message);
            return Optional.empty();
        }
    }

    /** However late: it is for reading at a desk, and nobody waits behind it. Without it, the mail still says where the month can be read. */
    private Optional<MailPaper> paper(OutgoingMessage message) {
        if (message.monthReportId().isEmpty()) {
            return Optional.empty();
        }
        try {
            return papers.of(message.monthReportId().getAsLong(), clock.instant());
        } catch (RuntimeException | LinkageError failed) {
            LOG.errorf(failed, "%s goes without its paper, which could not be made", message);
            return Optional.empty();
        }
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
