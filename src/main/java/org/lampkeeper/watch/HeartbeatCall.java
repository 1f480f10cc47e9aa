package org.lampkeeper.watch;

import java.io.IOException;
import java.net.URI;
import java.net.URLEncoder;
import java.net.http.HttpClient;
import java.net.http.HttpRequest;
import java.net.http.HttpResponse;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.Map;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.TimeoutException;
import java.util.stream.Collectors;

import org.lampkeeper.telemetry.HeartbeatFailed;

/** Tells an address by GET that Lampkeeper is alive. Follows no redirect: what is said is for the address that was configured. */
final class HeartbeatCall {

    private final URI address;
    private final Duration timeout;
    private final HttpClient client;

    /** @throws IllegalArgumentException if the address is not one of http or https with a host */
    HeartbeatCall(URI address, Duration timeout) {
        if (!("http".equalsIgnoreCase(address.getScheme()) || "https".equalsIgnoreCase(address.getScheme())) || address.getHost() == null) {
            throw new IllegalArgumentException("lampkeeper.heartbeat.url " + address.getScheme() + "://…: must begin with http:// or https:// and a host");
        }
        this.address = address;
        this.timeout = timeout;
        this.client = HttpClient.newBuilder().connectTimeout(timeout).followRedirects(HttpClient.Redirect.NEVER).build();
    }

    /** @throws HeartbeatFailed when there is no answer from 200 to 299 in time */
    void send(Map<String, String> said) {
        HttpRequest request = HttpRequest.newBuilder(with(said)).timeout(timeout).GET().build();
        CompletableFuture<HttpResponse<Void>> answer = client.sendAsync(request, HttpResponse.BodyHandlers.discarding());
        try {
            // The request's own limit ends with the headers; a body that never ends must not keep us.
            int status = answer.get(timeout.toMillis(), TimeUnit.MILLISECONDS).statusCode();
            if (status < 200 || status > 299) {
                throw new HeartbeatFailed("the heartbeat's address answered " + status + ", must be 200 to 299");
            }
        } catch (TimeoutException late) {
            answer.cancel(true);
            throw new HeartbeatFailed("the heartbeat's address did not answer within " + timeout.toMillis() + " ms", late);
        } catch (ExecutionException failure) {
            String why = failure.getCause() instanceof IOException io ? io.getClass().getSimpleName() : String.valueOf(failure.getCause());
            throw new HeartbeatFailed("the heartbeat's address cannot be asked: " + why, failure);
        } catch (InterruptedException stopping) {
            answer.cancel(true);
            Thread.currentThread().interrupt();
            throw new HeartbeatFailed("the heartbeat was interrupted", stopping);
        }
    }

    private URI with(Map<String, String> said) {
        String query = said.entrySet().stream().map(each -> each.getKey() + "=" + URLEncoder.encode(each.getValue(), StandardCharsets.UTF_8))
                .collect(Collectors.joining("&"));
        String plain = address.toString().split("#", 2)[0];
        return URI.create(plain + (address.getRawQuery() == null ? "?" : "&") + query);
    }
}
