package org.lampkeeper.message;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;

import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.lampkeeper.message.ReturnedMails.REPORT;
import static org.lampkeeper.message.ReturnedMails.mime;

class BounceMailboxTest {

    private static final String KEY = "3f0c".repeat(8);

    private final List<String> lost = new ArrayList<>();
    private ReturnedMails mails;

    @BeforeEach
    void startServer() throws Exception {
        mails = new ReturnedMails();
    }

    @AfterEach
    void stopServer() {
        mails.close();
    }

    private BounceMailbox mailbox() {
        return mails.mailbox((key, reason) -> lost.add(key + " " + reason));
    }

    @Test
    void mailThatCameBackIsToldOnceAndWithoutAddresses() throws Exception {
        mails.comes(REPORT.formatted("returned+" + KEY + "@watch.example", "failed", "5.1.1", "other"));

        assertThat(mailbox().read()).isOne();
        assertThat(mailbox().read()).isZero();

        assertThat(lost).containsExactly(KEY + " came back: 5.1.1");
        assertThat(mails.left()).isZero();
    }

    @Test
    void mailThatIsLateIsNotLost() throws Exception {
        mails.comes(REPORT.formatted("returned+" + KEY + "@watch.example", "delayed", "4.4.7", KEY));

        assertThat(mailbox().read()).isZero();
        assertThat(lost).isEmpty();
    }

    @Test
    void serverThatDropsWhatStandsAfterThePlusIsUnderstoodByTheMailItReturns() throws Exception {
        mails.comes(REPORT.formatted("returned@watch.example", "failed", "5.2.1", KEY));

        mailbox().read();

        assertThat(lost).containsExactly(KEY + " came back: 5.2.1");
    }

    /** RFC 3834: somebody on holiday has the mail all the same. */
    @Test
    void answerOfAMachineIsNoBounceAndStaysForPeople() throws Exception {
        mails.comes("From: m.teal@quay.example\nTo: returned+" + KEY + "@watch.example\nAuto-Submitted: auto-replied\nSubject: Away\n\nI am away. Action: failed\n");
        mails.comes(REPORT.formatted("somebody@watch.example", "failed", "5.1.1", "somebody-elses"));

        assertThat(mailbox().read()).isZero();
        assertThat(mailbox().read()).isZero();

        assertThat(lost).isEmpty();
        assertThat(mails.left()).isEqualTo(2);
    }

    /** A report without the boundary that RFC 2046, section 5.1.1, asks for: the server cannot say what parts it has. */
    @Test
    void brokenMailIsLeftForPeopleAndDoesNotStopTheReading() throws Exception {
        mails.comes("From: x@mail.example\nTo: returned+" + KEY + "@watch.example\nContent-Type: multipart/report\n\n--\0\nno part\n");
        mails.comes(REPORT.formatted("returned+" + KEY + "@watch.example", "failed", "5.1.1", KEY));

        assertThat(mailbox().read()).isOne();
        assertThat(lost).hasSize(1);
        assertThat(mails.left()).isOne();
    }

    @Test
    void bounceWhoseRecordingFailedIsReadAgain() throws Exception {
        mails.comes(REPORT.formatted("returned+" + KEY + "@watch.example", "failed", "5.1.1", KEY));
        assertThatThrownBy(() -> mails.mailbox((key, reason) -> {
            throw new IllegalStateException("the database is away");
        }).read()).hasMessage("the database is away");
        mailbox().read();

        assertThat(lost).hasSize(1);
    }

    @Test
    void whatIsNoReportIsNone() throws Exception {
        assertThat(Bounce.of(mime("To: returned+" + KEY + "@watch.example\nContent-Type: multipart/report; boundary=x\n\n--x\n\nhello\n--x--\n"))).isEqualTo(Optional.empty());
        assertThat(Bounce.of(mime(REPORT.formatted("returned+" + KEY + "@watch.example", "delivered", "2.0.0", KEY)))).isEmpty();
    }
}
