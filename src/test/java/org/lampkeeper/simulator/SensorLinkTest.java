package org.lampkeeper.simulator;

import java.io.DataInputStream;
import java.io.IOException;
import java.net.ServerSocket;
import java.net.Socket;
import java.net.URI;
import java.util.Optional;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.Executors;
import java.util.concurrent.ScheduledExecutorService;
import java.util.concurrent.TimeUnit;

import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;

import static org.assertj.core.api.Assertions.assertThat;

/** A link that is closed while it connects, before a broker of a few bytes: packet types and CONNACK as MQTT 5.0, 2.1.2 and 3.2. */
@Timeout(60)
class SensorLinkTest {

    private static final int CONNECT = 1;
    private static final int DISCONNECT = 14;
    private static final byte[] CONNACK = {0x20, 3, 0, 0, 0};

    private final ScheduledExecutorService timer = Executors.newScheduledThreadPool(2);

    @AfterEach
    void stop() {
        timer.shutdownNow();
    }

    @Test
    void linkClosedWhileItConnectsWaitsForTheAnswerAndSaysGoodBye() throws Exception {
        try (ServerSocket broker = new ServerSocket(0)) {
            SensorLink link = new SensorLink(URI.create("tcp://127.0.0.1:" + broker.getLocalPort()), new SensorLink.Introduction("one",
                    Optional.empty(), Optional.empty(), Optional.empty()), timer, 1, new Silent());
            link.connect();
            try (Socket connection = broker.accept(); DataInputStream in = new DataInputStream(connection.getInputStream())) {
                assertThat(packet(in)).isEqualTo(CONNECT);

                CompletableFuture<Void> drained = link.drain();

                assertThat(drained).isNotDone();
                connection.getOutputStream().write(CONNACK);
                drained.get(20, TimeUnit.SECONDS);
                link.close();
                assertThat(packet(in)).isEqualTo(DISCONNECT);
            }
        }
    }

    @Test
    void linkThatNobodyAnswersIsDrainedOnceItsConnectionIsLost() throws Exception {
        try (ServerSocket broker = new ServerSocket(0)) {
            SensorLink link = new SensorLink(URI.create("tcp://127.0.0.1:" + broker.getLocalPort()), new SensorLink.Introduction("two",
                    Optional.empty(), Optional.empty(), Optional.empty()), timer, 1, new Silent());
            link.connect();
            try (Socket connection = broker.accept()) {
                assertThat(packet(new DataInputStream(connection.getInputStream()))).isEqualTo(CONNECT);
                assertThat(link.drain()).isNotDone();
            }

            link.drain().get(20, TimeUnit.SECONDS);
            link.close();
        }
    }

    /** Its type; every packet here is shorter than 128 bytes, so its length is one byte. */
    private static int packet(DataInputStream in) throws IOException {
        int type = in.readUnsignedByte() >> 4;
        in.readFully(new byte[in.readUnsignedByte()]);
        return type;
    }

    private static final class Silent implements SensorLink.Ear {

        @Override
        public void lineChanged(Optional<String> why) {
            // Nobody plays over this link.
        }

        @Override
        public void acknowledged(SensorAct.Publish message) {
            throw new AssertionError("nothing was sent: " + message);
        }

        @Override
        public void refused(SensorAct.Publish message, int reasonCode) {
            throw new AssertionError("nothing was sent: " + message);
        }

        @Override
        public void givenBack(SensorAct.Publish message) {
            throw new AssertionError("nothing was sent: " + message);
        }
    }
}
