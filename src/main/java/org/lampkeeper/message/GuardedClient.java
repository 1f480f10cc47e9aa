package org.lampkeeper.message;

import java.io.IOException;
import java.io.InputStream;
import java.net.InetAddress;
import java.net.InetSocketAddress;
import java.net.URI;
import java.net.UnknownHostException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.cert.CertificateException;
import java.security.cert.CertificateFactory;
import java.time.Duration;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.TimeoutException;
import java.util.concurrent.atomic.AtomicInteger;

import jakarta.annotation.PreDestroy;
import jakarta.inject.Inject;
import jakarta.inject.Singleton;

import io.netty.handler.ipfilter.IpFilterRuleType;
import io.netty.handler.ipfilter.IpSubnetFilterRule;
import io.vertx.core.Future;
import io.vertx.core.Promise;
import io.vertx.core.Vertx;
import io.vertx.core.WorkerExecutor;
import io.vertx.core.buffer.Buffer;
import io.vertx.core.http.HttpClient;
import io.vertx.core.http.HttpClientOptions;
import io.vertx.core.http.HttpClientRequest;
import io.vertx.core.http.HttpClientResponse;
import io.vertx.core.http.HttpMethod;
import io.vertx.core.http.RequestOptions;
import io.vertx.core.net.PemTrustOptions;
import io.vertx.core.net.SocketAddress;
import org.jspecify.annotations.Nullable;

/**
 * Posts to URLs that people entered, and nowhere that they should not reach through this server. A name is looked up once for each request,
 * every address that it has must be a public one or in a network that the operator allows, and the connection goes to exactly the address
 * that was looked at, so that a name which answers differently a moment later gains nothing. TLS verifies the name all the same. No redirect
 * is followed, no proxy asked, no connection kept, and of the answer no more than {@link #MOST_BYTES} is read. Used by many threads.
 */
@Singleton
class GuardedClient {

    /** Ours: a receiver has nothing to say but its status; what is longer is not worth reading to its end. */
    static final int MOST_BYTES = 65_536;

    /** Looks up a name; may block, and may answer differently each time. */
    interface Names {
        InetAddress[] addresses(String name) throws UnknownHostException;
    }

    /**
     * What became of one request.
     *
     * @param status what was answered, in full; empty where nothing was
     * @param reason why it does not count as taken, for a person; empty where it does
     */
    record Answer(Optional<Integer> status, Optional<String> reason, Duration took) {

        boolean isTaken() {
            return reason.isEmpty();
        }
    }

    /** The address must not be connected to; the message says so without the address. */
    private static final class NotPublic extends Exception {
        private static final long serialVersionUID = 1L;
    }

    /**
     * What may be reached, and how long that may take.
     *
     * @param setting         what the settings begin with, for whoever must put one right
     * @param allowedNetworks that may be reached although they are not public
     * @param caFile          trusted in place of what Java trusts
     * @param workers         requests side by side
     */
    record Limits(String setting, List<String> allowedNetworks, boolean allowHttp, Optional<Path> caFile, Duration timeout, int workers) {

        static Limits of(WebhookConfig config) {
            return new Limits("lampkeeper.webhook", config.allowedNetworks().orElse(List.of()), config.allowHttp(), config.caFile(), config.timeout(),
                    config.workers());
        }
    }

    private final Names names;
    private final List<IpSubnetFilterRule> allowed;
    private final boolean allowsHttp;
    private final Duration timeout;
    private final HttpClient client;
    private final WorkerExecutor lookUps;
    private final AtomicInteger turn = new AtomicInteger();

    @Inject
    GuardedClient(Vertx vertx, WebhookConfig config) {
        this(vertx, Limits.of(config), InetAddress::getAllByName);
    }

    GuardedClient(Vertx vertx, Limits config, Names names) {
        this.names = names;
        this.allowed = config.allowedNetworks().stream().map(text -> network(config.setting(), text)).toList();
        this.allowsHttp = config.allowHttp();
        this.timeout = config.timeout();
        HttpClientOptions options = new HttpClientOptions().setKeepAlive(false).setMaxPoolSize(config.workers())
                .setConnectTimeout((int) timeout.toMillis()).setDecompressionSupported(false);
        config.caFile().ifPresent(file -> options.setTrustOptions(trusting(config.setting(), file)));
        this.client = vertx.createHttpClient(options);
        // Of its own, since a name server that does not answer keeps a thread for longer than we wait.
        this.lookUps = vertx.createSharedWorkerExecutor(config.setting() + "-names", config.workers());
    }

    @PreDestroy
    void close() {
        client.close();
        lookUps.close();
    }

    private static IpSubnetFilterRule network(String setting, String text) {
        try {
            return new IpSubnetFilterRule(text.strip(), IpFilterRuleType.ACCEPT);
        } catch (RuntimeException unreadable) {
            throw new IllegalStateException(setting + ".allowed-networks: '" + text + "' is no network, must be like 10.20.0.0/16",
                    unreadable);
        }
    }

    /** Looked at here, for the client itself reads it only with the first connection. */
    private static PemTrustOptions trusting(String setting, Path caFile) {
        try (InputStream pem = Files.newInputStream(caFile)) {
            if (CertificateFactory.getInstance("X.509").generateCertificates(pem).isEmpty()) {
                throw new CertificateException("it holds no certificate");
            }
        } catch (IOException | CertificateException failure) {
            throw new IllegalStateException(setting + ".ca-file " + caFile + ": not a file of PEM certificates that can be read: "
                    + failure.getMessage(), failure);
        }
        return new PemTrustOptions().addCertPath(caFile.toAbsolutePath().toString());
    }

    /** After this long {@link #post} has returned. */
    Duration timeout() {
        return timeout;
    }

    boolean allowsHttp() {
        return allowsHttp;
    }

    /** Blocks for at most {@link #timeout()}; never throws for what the other side does. Only a whole answer of 200 to 299 counts as taken. */
    Answer post(URI to, Map<String, String> headers, String body) {
        return post(to, headers, body.getBytes(StandardCharsets.UTF_8));
    }

    /** The same of bytes. */
    Answer post(URI to, Map<String, String> headers, byte[] body) {
        if (!isHttps(to) && !allowsHttp) {
            return new Answer(Optional.empty(), Optional.of("its URL does not begin with https://"), Duration.ZERO);
        }
        long begun = System.nanoTime();
        Exchange exchange = new Exchange();
        try {
            int status = lookUps.executeBlocking(() -> look(to), false).compose(address -> client.request(options(to, address)))
                    .compose(request -> exchange.send(request, headers, body))
                    .toCompletionStage().toCompletableFuture().get(timeout.toMillis(), TimeUnit.MILLISECONDS);
            return answered(status, since(begun));
        } catch (TimeoutException late) {
            return new Answer(Optional.empty(), Optional.of("no whole answer within " + timeout.toMillis() + " ms"), since(begun));
        } catch (ExecutionException failed) {
            return new Answer(Optional.empty(), Optional.of(why(to, failed.getCause())), since(begun));
        } catch (InterruptedException stopping) {
            Thread.currentThread().interrupt();
            return new Answer(Optional.empty(), Optional.of("interrupted while it was under way"), since(begun));
        } finally {
            exchange.end();
        }
    }

    private static Answer answered(int status, Duration took) {
        boolean isTaken = status >= 200 && status <= 299;
        boolean isRedirect = status >= 300 && status <= 399;
        return new Answer(Optional.of(status), isTaken ? Optional.empty()
                : Optional.of("answered " + status + (isRedirect ? ", a redirect, and none is followed" : "")), took);
    }

    /** The one look-up of this request. Of several addresses another one each time, so that a dead one is not tried again and again. */
    private InetAddress look(URI to) throws UnknownHostException, NotPublic {
        InetAddress[] found = names.addresses(host(to));
        if (!Arrays.stream(found).allMatch(this::mayBeReached)) {
            throw new NotPublic();
        }
        return found[Math.floorMod(turn.getAndIncrement(), found.length)];
    }

    private boolean mayBeReached(InetAddress address) {
        return !InternalAddress.isInternal(address)
                || allowed.stream().anyMatch(network -> network.matches(new InetSocketAddress(address, 0)));
    }

    /** The address as digits, so that nothing behind us looks up the name a second time; the name for TLS and for the header Host. */
    private static RequestOptions options(URI to, InetAddress address) {
        boolean isHttps = isHttps(to);
        int port = to.getPort() >= 0 ? to.getPort() : isHttps ? 443 : 80;
        String path = to.getRawPath() == null || to.getRawPath().isEmpty() ? "/" : to.getRawPath();
        return new RequestOptions().setMethod(HttpMethod.POST).setServer(SocketAddress.inetSocketAddress(port, address.getHostAddress()))
                .setHost(host(to)).setPort(port).setSsl(isHttps).setFollowRedirects(false)
                .setURI(to.getRawQuery() == null ? path : path + "?" + to.getRawQuery());
    }

    private static String host(URI to) {
        return to.getHost().replaceAll("^\\[|]$", "");
    }

    private static boolean isHttps(URI to) {
        return "https".equalsIgnoreCase(to.getScheme());
    }

    private static String why(URI to, Throwable failure) {
        if (failure instanceof NotPublic) {
            return host(to) + " has an address that is not public and not allowed here";
        }
        if (failure instanceof UnknownHostException) {
            return host(to) + " has no address";
        }
        return "cannot be reached: " + Optional.ofNullable(failure.getMessage()).orElse(failure.getClass().getSimpleName());
    }

    private static Duration since(long begun) {
        return Duration.ofNanos(System.nanoTime() - begun);
    }

    /** One request; once it has ended, nothing of it is on its way any more. */
    private static final class Exchange {

        private @Nullable HttpClientRequest request;
        private boolean isOver;

        synchronized Future<Integer> send(HttpClientRequest made, Map<String, String> headers, byte[] body) {
            if (isOver) {
                made.connection().close();
                return Future.failedFuture("given up before it was sent");
            }
            request = made;
            headers.forEach(made::putHeader);
            return made.send(Buffer.buffer(body)).compose(this::wholeOf);
        }

        /** The status, once all of the answer is there, or enough of it: an answer that is cut off may not have been meant. */
        private Future<Integer> wholeOf(HttpClientResponse response) {
            Promise<Integer> status = Promise.promise();
            AtomicInteger left = new AtomicInteger(MOST_BYTES);
            response.handler(piece -> {
                if (left.addAndGet(-piece.length()) < 0) {
                    status.tryComplete(response.statusCode());
                }
            });
            response.endHandler(end -> status.tryComplete(response.statusCode()));
            response.exceptionHandler(status::tryFail);
            return status.future();
        }

        synchronized void end() {
            isOver = true;
            if (request != null) {
                request.connection().close();
            }
        }
    }
}
