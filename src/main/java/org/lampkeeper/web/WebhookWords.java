package org.lampkeeper.web;

import java.time.Instant;
import java.util.stream.Collectors;
import java.util.stream.Stream;

import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.web.WebhookReading.DeliveryRow;
import org.lampkeeper.web.WebhookReading.EndpointRow;

/** What is said of webhooks and of what they were told. */
final class WebhookWords {

    private WebhookWords() {
    }

    /** Going on after its name. */
    static String state(EndpointRow endpoint, Instant now) {
        if (!endpoint.isOn()) {
            return "is switched off";
        }
        return endpoint.failingSince().map(since -> "has taken nothing since " + Sentences.clock(since, endpoint.zone(), now)
                + endpoint.reason().map(why -> ": " + why).orElse("")).orElse("hears of alarms");
    }

    /** {@code lost} where it takes nothing, {@code unknown} where it is off. */
    static String look(EndpointRow endpoint) {
        return !endpoint.isOn() ? "unknown" : endpoint.failingSince().isPresent() ? "lost" : "plain";
    }

    static String whose(EndpointRow endpoint) {
        return endpoint.site().orElse("every site, and Lampkeeper itself");
    }

    /** What became of it: tries, last answer, how long that took, what comes next. */
    static String fate(DeliveryRow delivery, EndpointRow endpoint, Instant now) {
        String took = delivery.tookMs().isPresent() && delivery.attempts() > 0 ? " in " + delivery.tookMs().getAsLong() + " ms" : "";
        String status = delivery.status().isPresent() ? "answered " + delivery.status().getAsLong() : "no answer";
        String reason = delivery.reason().filter(why -> !why.startsWith("answered ") || why.contains(",")).orElse("");
        String tries = delivery.attempts() == 0 ? "not tried" : delivery.attempts() == 1 ? "tried once" : "tried " + delivery.attempts() + " times";
        return switch (delivery.state()) {
            case "DELIVERED" -> joined("taken", status + took, delivery.attempts() == 1 ? "" : tries);
            case "UNDELIVERED" -> joined("given up", tries, delivery.attempts() == 0 ? "" : status + took, reason);
            case "WAITING" -> delivery.attempts() == 0 ? "waiting to be sent" : joined(tries, status + took, reason,
                    delivery.nextAttempt().map(at -> "next try " + Sentences.clock(at, endpoint.zone(), now)).orElse(""));
            default -> throw new IllegalStateException("delivery state '" + delivery.state() + "' is not one of the three in the table");
        };
    }

    static String look(DeliveryRow delivery) {
        return switch (delivery.state()) {
            case "UNDELIVERED" -> "lost";
            case "WAITING" -> delivery.attempts() == 0 ? "plain" : "unknown";
            default -> "plain";
        };
    }

    private static String joined(String... parts) {
        return Stream.of(parts).filter(part -> !part.isEmpty()).collect(Collectors.joining("; "));
    }
}
