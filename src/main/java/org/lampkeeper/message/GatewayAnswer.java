package org.lampkeeper.message;

import java.io.IOException;
import java.util.List;
import java.util.Optional;

import com.fasterxml.jackson.core.JsonPointer;
import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.databind.node.MissingNode;

/** What a provider's answer means. Pure. */
final class GatewayAnswer {

    /** RFC 6585, section 4 (too many requests); RFC 9110, section 15.5.9 (request time-out). */
    private static final List<Integer> LATER = List.of(429, 408);
    /** The width of the column. */
    private static final int LONGEST_ID = 120;
    private static final int LONGEST_REASON = 200;
    private static final ObjectMapper JSON = new ObjectMapper();

    private record Range(int from, int to) {
        boolean has(int status) {
            return from <= status && status <= to;
        }
    }

    private final List<Range> accepted;
    private final List<Range> refused;
    private final Optional<JsonPointer> outcome;
    private final List<String> acceptedOutcomes;
    private final List<String> refusedOutcomes;
    private final Optional<JsonPointer> id;
    private final Optional<JsonPointer> reason;

    /** @throws IllegalStateException naming the setting and what would be right */
    GatewayAnswer(String setting, GatewayConfig.Answer config) {
        accepted = ranges(setting + ".status", config.status());
        refused = ranges(setting + ".refused-status", config.refusedStatus());
        outcome = pointer(setting + ".outcome", config.outcome());
        acceptedOutcomes = config.accepted().orElse(List.of());
        refusedOutcomes = config.refused().orElse(List.of());
        id = pointer(setting + ".id", config.id());
        reason = pointer(setting + ".reason", config.reason());
        if (outcome.isPresent() == acceptedOutcomes.isEmpty()) {
            throw new IllegalStateException(setting + ".outcome and " + setting + ".accepted: both must be set, or neither");
        }
    }

    /** @param body as far as it was read */
    Handover judge(int status, byte[] body) {
        JsonNode said = read(body);
        String why = "the gateway answered " + status + reason.flatMap(at -> text(said, at)).map(it -> ": " + withoutNumbers(it)).orElse("");
        if (refused.stream().anyMatch(it -> it.has(status))) {
            return new Handover.Refused(why);
        }
        if (accepted.stream().noneMatch(it -> it.has(status))) {
            return LATER.contains(status) ? new Handover.Deferred(why) : new Handover.Unreachable(why);
        }
        if (outcome.isEmpty()) {
            return taken(said);
        }
        Optional<String> found = text(said, outcome.get());
        if (found.isEmpty()) {
            // The service is not the one that was set up, or it has changed: that is about the channel.
            return new Handover.Unreachable(why + ", without anything at " + outcome.get());
        }
        if (has(acceptedOutcomes, found.get())) {
            return taken(said);
        }
        String what = why + ", " + withoutNumbers(found.get());
        return has(refusedOutcomes, found.get()) ? new Handover.Refused(what) : new Handover.Deferred(what);
    }

    private Handover taken(JsonNode said) {
        return new Handover.Accepted(id.flatMap(at -> text(said, at)).map(it -> it.substring(0, Math.min(LONGEST_ID, it.length()))));
    }

    static boolean has(List<String> values, String value) {
        return values.stream().anyMatch(it -> it.strip().equalsIgnoreCase(value.strip()));
    }

    private static JsonNode read(byte[] body) {
        try {
            return Optional.ofNullable(JSON.readTree(body)).orElse(MissingNode.getInstance());
        } catch (IOException notJson) {
            // Whether that is enough is decided by what is looked for in it.
            return MissingNode.getInstance();
        }
    }

    private static Optional<String> text(JsonNode said, JsonPointer at) {
        return Optional.of(said.at(at)).filter(it -> it.isValueNode() && !it.isNull()).map(JsonNode::asText).filter(it -> !it.isBlank());
    }

    /** Providers like to repeat the number; it belongs neither into the journal nor into a log. */
    private static String withoutNumbers(String text) {
        String masked = text.replaceAll("\\+?\\d[\\d ()-]{4,}\\d", "(number)").replaceAll("\\s+", " ").strip();
        return masked.substring(0, Math.min(LONGEST_REASON, masked.length()));
    }

    private static List<Range> ranges(String setting, List<String> written) {
        return written.stream().map(String::strip).map(each -> {
            if (!each.matches("[1-5]\\d\\d(-[1-5]\\d\\d)?")) {
                throw new IllegalStateException(setting + ": '" + each + "' is no status, must be like 202 or 200-299");
            }
            String[] ends = each.split("-");
            return new Range(Integer.parseInt(ends[0]), Integer.parseInt(ends[ends.length - 1]));
        }).toList();
    }

    private static Optional<JsonPointer> pointer(String setting, Optional<String> written) {
        return written.map(text -> {
            try {
                return JsonPointer.compile(text);
            } catch (IllegalArgumentException wrong) {
                throw new IllegalStateException(setting + ": '" + text + "' is no JSON pointer, must be like /messages/0/status",
                        wrong);
            }
        });
    }
}
