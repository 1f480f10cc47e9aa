package org.lampkeeper.telemetry;

import java.io.IOException;
import java.net.InetAddress;
import java.net.Socket;

import javax.net.SocketFactory;

/**
 * Sockets that send at once. Acknowledgements are a few bytes each: held back to be sent together, they wait for the broker, which in
 * turn waits for them before it sends more than it may have under way.
 */
final class PromptSockets extends SocketFactory {

    private static Socket prompt(Socket socket) throws IOException {
        socket.setTcpNoDelay(true);
        return socket;
    }

    @Override
    public Socket createSocket() throws IOException {
        return prompt(new Socket());
    }

    @Override
    public Socket createSocket(String host, int port) throws IOException {
        return prompt(new Socket(host, port));
    }

    @Override
    public Socket createSocket(String host, int port, InetAddress localHost, int localPort) throws IOException {
        return prompt(new Socket(host, port, localHost, localPort));
    }

    @Override
    public Socket createSocket(InetAddress host, int port) throws IOException {
        return prompt(new Socket(host, port));
    }

    @Override
    public Socket createSocket(InetAddress address, int port, InetAddress localAddress, int localPort) throws IOException {
        return prompt(new Socket(address, port, localAddress, localPort));
    }
}
