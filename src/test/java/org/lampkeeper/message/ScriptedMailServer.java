package org.lampkeeper.message;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStreamReader;
import java.io.OutputStream;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.KeyStore;
import java.util.List;
import java.util.Map;
import java.util.Queue;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.ConcurrentLinkedQueue;

import javax.net.ssl.KeyManagerFactory;
import javax.net.ssl.SSLContext;
import javax.net.ssl.SSLSocket;

import org.jspecify.annotations.Nullable;

/** An SMTP server that answers as told, for what no well-behaved server can be made to do: refusing, stalling, falling silent. */
final class ScriptedMailServer implements AutoCloseable {

    static final String SILENCE = "";
    private static final String PASSWORD = "only for this test";

    private final ServerSocket socket;
    private final Map<String, String> answers = new ConcurrentHashMap<>();
    private final Queue<Socket> connections = new ConcurrentLinkedQueue<>();
    private final Queue<String> heard = new ConcurrentLinkedQueue<>();
    private volatile @Nullable SSLContext tls;

    ScriptedMailServer() throws IOException {
        socket = new ServerSocket(0, 50, InetAddress.getLoopbackAddress());
        Thread listener = new Thread(this::listen, "scripted-mail-server");
        listener.setDaemon(true);
        listener.start();
    }

    /** @param command beginning of the command, such as "RCPT"; "" for the greeting, "." for the end of the data */
    ScriptedMailServer answer(String command, String answer) {
        answers.put(command, answer);
        return this;
    }

    /** Offers encryption with a certificate that nobody vouches for, and then a login. */
    ScriptedMailServer withStartTls() throws Exception {
        Path store = Files.createTempDirectory("mail-server").resolve("key.p12");
        Process made = new ProcessBuilder(Path.of(System.getProperty("java.home"), "bin", "keytool").toString(), "-genkeypair", "-keyalg", "EC", "-dname", "CN=127.0.0.1",
                "-ext", "san=ip:127.0.0.1", "-validity", "2", "-alias", "server", "-storetype", "PKCS12", "-storepass", PASSWORD, "-keystore", store.toString())
                .redirectErrorStream(true).start();
        String said = new String(made.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
        if (made.waitFor() != 0) {
            throw new IllegalStateException("keytool made no key: " + said);
        }
        KeyStore keys = KeyStore.getInstance(store.toFile(), PASSWORD.toCharArray());
        KeyManagerFactory managers = KeyManagerFactory.getInstance(KeyManagerFactory.getDefaultAlgorithm());
        managers.init(keys, PASSWORD.toCharArray());
        SSLContext context = SSLContext.getInstance("TLS");
        context.init(managers.getKeyManagers(), null, null);
        tls = context;
        return this;
    }

    /** What was said to it, each line with "plain" or "encrypted" before it, without the mails. */
    List<String> heard() {
        return List.copyOf(heard);
    }

    void behaveWell() {
        answers.clear();
    }

    int port() {
        return socket.getLocalPort();
    }

    private void listen() {
        while (!socket.isClosed()) {
            try {
                Socket connection = socket.accept();
                connections.add(connection);
                Thread conversation = new Thread(() -> converse(connection));
                conversation.setDaemon(true);
                conversation.start();
            } catch (IOException closed) {
                return;
            }
        }
    }

    private void converse(Socket connection) {
        try (connection) {
            Socket line = connection;
            say(line, answers.getOrDefault("", "220 ready"));
            while (talk(line)) {
                SSLSocket encrypted = (SSLSocket) tls.getSocketFactory().createSocket(line, null, line.getPort(), true);
                encrypted.setUseClientMode(false);
                line = encrypted;
            }
        } catch (IOException gone) {
            // The client has hung up: that conversation is over.
        }
    }

    /** Until the client hangs up, or wants to go on encrypted. */
    private boolean talk(Socket line) throws IOException {
        BufferedReader in = new BufferedReader(new InputStreamReader(line.getInputStream(), StandardCharsets.US_ASCII));
        boolean data = false;
        for (String said = in.readLine(); said != null; said = in.readLine()) {
            if (data && !said.equals(".")) {
                continue;
            }
            String command = said.split(" ")[0];
            heard.add((line instanceof SSLSocket ? "encrypted " : "plain ") + said);
            data = command.equals("DATA") && !answers.containsKey("DATA");
            say(line, answers.getOrDefault(command, usual(command, line)));
            if (command.equals("STARTTLS") && tls != null) {
                return true;
            }
        }
        return false;
    }

    private String usual(String command, Socket line) {
        return switch (command) {
            case "DATA" -> "354 go on";
            case "EHLO" -> tls == null ? "250 ok" : line instanceof SSLSocket ? "250-ok\r\n250 AUTH PLAIN" : "250-ok\r\n250 STARTTLS";
            case "STARTTLS" -> "220 go on";
            case "AUTH" -> "235 welcome";
            default -> "250 ok";
        };
    }

    private static void say(Socket line, String answer) throws IOException {
        if (!answer.equals(SILENCE)) {
            OutputStream out = line.getOutputStream();
            out.write((answer + "\r\n").getBytes(StandardCharsets.US_ASCII));
            out.flush();
        }
    }

    @Override
    public void close() throws IOException {
        socket.close();
        for (Socket connection : connections) {
            connection.close();
        }
    }
}
