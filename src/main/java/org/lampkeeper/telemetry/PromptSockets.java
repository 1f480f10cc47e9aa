package org.lampkeeper.telemetry;

import java.io.BufferedInputStream;
import java.io.IOException;
import java.io.InputStream;
import java.net.InetAddress;
import java.net.Socket;

import javax.net.SocketFactory;

import org.jspecify.annotations.Nullable;

/**
 * Sockets that send at once and read ahead. Acknowledgements are a few bytes each: held back to be sent together, they wait for the
 * broker, which in turn waits for them before it sends more than it may have under way. And the MQTT client reads a message in four
 * pieces and more, each a call of the system unless something lies between.
 */
final class PromptSockets extends SocketFactory {

    private static final int AHEAD_BYTES = 64 * 1024;

    private static final class ReadingAhead extends Socket {
        private @Nullable InputStream ahead;

        @Override
        public synchronized InputStream getInputStream() throws IOException {
            InputStream input = ahead;
            if (input == null) {
                input = new BufferedInputStream(super.getInputStream(), AHEAD_BYTES);
                ahead = input;
            }
            return input;
        }
    }

    /** The only way in which the client asks: it connects by itself, with its own time-out. */
    @Override
    public Socket createSocket() throws IOException {
        Socket socket = new ReadingAhead();
        socket.setTcpNoDelay(true);
        return socket;
    }

    @Override
    public Socket createSocket(String host, int port) {
        throw onlyUnconnected();
    }

    @Override
    public Socket createSocket(String host, int port, InetAddress localHost, int localPort) {
        throw onlyUnconnected();
    }

    @Override
    public Socket createSocket(InetAddress host, int port) {
        throw onlyUnconnected();
    }

    @Override
    public Socket createSocket(InetAddress address, int port, InetAddress localAddress, int localPort) {
        throw onlyUnconnected();
    }

    private static UnsupportedOperationException onlyUnconnected() {
        return new UnsupportedOperationException("sockets are made unconnected here");
    }
}
