package org.lampkeeper.simulator;

import java.io.IOException;
import java.net.InetAddress;
import java.net.InetSocketAddress;
import java.net.Socket;

import javax.net.SocketFactory;

/**
 * Plain sockets that send a small packet at once. Paho's own wait for the answer to the packet before (Nagle), the other side holds that
 * answer back a little (delayed acknowledgement), and together they let through some hundred reports a second.
 */
final class PromptSockets extends SocketFactory {

    @Override
    public Socket createSocket() throws IOException {
        Socket socket = new Socket();
        socket.setTcpNoDelay(true);
        return socket;
    }

    @Override
    public Socket createSocket(String host, int port) throws IOException {
        return connected(new InetSocketAddress(host, port));
    }

    @Override
    public Socket createSocket(String host, int port, InetAddress localHost, int localPort) throws IOException {
        return connected(new InetSocketAddress(host, port), new InetSocketAddress(localHost, localPort));
    }

    @Override
    public Socket createSocket(InetAddress host, int port) throws IOException {
        return connected(new InetSocketAddress(host, port));
    }

    @Override
    public Socket createSocket(InetAddress host, int port, InetAddress localHost, int localPort) throws IOException {
        return connected(new InetSocketAddress(host, port), new InetSocketAddress(localHost, localPort));
    }

    private Socket connected(InetSocketAddress remote) throws IOException {
        Socket socket = createSocket();
        socket.connect(remote);
        return socket;
    }

    private Socket connected(InetSocketAddress remote, InetSocketAddress local) throws IOException {
        Socket socket = createSocket();
        socket.bind(local);
        socket.connect(remote);
        return socket;
    }
}
