package org.lampkeeper.watch;

import java.io.IOException;
import java.net.InetAddress;
import java.net.SocketTimeoutException;
import java.net.UnknownHostException;
import java.time.Duration;

import org.apache.commons.net.ntp.NTPUDPClient;
import org.apache.commons.net.ntp.NtpV3Packet;
import org.apache.commons.net.ntp.TimeInfo;

/** Asks a server that speaks NTP, RFC 5905, what time it is. May be used by several threads. */
final class TimeServer {

    // RFC 5905, section 7.3, from memory of the figures' numbers: 10, modes; 9, leap indicator, 3 is not synchronised; 11, stratum, 0 is a
    // kiss-o'-death and 16 is unsynchronised.
    private static final int SERVER = 4;
    private static final int NOT_SYNCHRONISED = 3;
    private static final int LAST_STRATUM = 15;

    private final String name;
    private final int port;
    private final Duration timeout;

    TimeServer(String name, int port, Duration timeout) {
        this.name = name;
        this.port = port;
        this.timeout = timeout;
    }

    /**
     * @param offset how far the server's clock is ahead of ours; negative: ours is ahead (theta of RFC 5905, section 8)
     * @param delay  how long the question and its answer were under way together; the offset is wrong by at most half of it, as far as the server is right
     */
    record Compared(Duration offset, Duration delay) {
    }

    /** Nothing can be said of the clock; the message says why. */
    static final class NotCompared extends Exception {

        private static final long serialVersionUID = 1L;

        NotCompared(String why) {
            super(why);
        }

        NotCompared(String why, Throwable cause) {
            super(why, cause);
        }
    }

    /** @throws NotCompared where the server cannot be reached, does not answer in time, or gives an answer that RFC 5905 says not to use */
    Compared ask() throws NotCompared {
        NTPUDPClient client = new NTPUDPClient();
        client.setDefaultTimeout(timeout);
        try {
            client.open();
            // Of the machine's own clock, whatever clock the rest of the program was given. An answer to another question is refused by the library.
            TimeInfo answer = client.getTime(InetAddress.getByName(name), port);
            check(answer.getMessage());
            answer.computeDetails();
            if (answer.getOffset() == null || answer.getDelay() == null || answer.getDelay() < 0) {
                throw new NotCompared("its answer has no times that fit together");
            }
            return new Compared(Duration.ofMillis(answer.getOffset()), Duration.ofMillis(answer.getDelay()));
        } catch (UnknownHostException unknown) {
            throw new NotCompared("there is no server of this name", unknown);
        } catch (SocketTimeoutException silent) {
            throw new NotCompared("it did not answer within " + timeout.toMillis() + " ms", silent);
        } catch (IOException failed) {
            throw new NotCompared("it cannot be asked, or its answer cannot be used: " + failed.getMessage(), failed);
        } finally {
            client.close();
        }
    }

    /** What RFC 5905, sections 7.4 and 8, says of answers that count for nothing. */
    private static void check(NtpV3Packet packet) throws NotCompared {
        if (packet.getMode() != SERVER) {
            throw new NotCompared("its answer is of mode " + packet.getMode() + ", must be " + SERVER + ", a server's");
        }
        if (packet.getStratum() == 0) {
            throw new NotCompared("it refused to answer, code " + packet.getReferenceIdString().strip());
        }
        if (packet.getLeapIndicator() == NOT_SYNCHRONISED || packet.getStratum() > LAST_STRATUM) {
            throw new NotCompared("it says that its own clock is not synchronised");
        }
        if (packet.getTransmitTimeStamp().ntpValue() == 0) {
            throw new NotCompared("its answer has no time");
        }
    }
}
