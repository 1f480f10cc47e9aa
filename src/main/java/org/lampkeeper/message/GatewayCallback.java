package org.lampkeeper.message;

import java.util.ArrayList;
import java.util.EnumMap;
import java.util.EnumSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.function.UnaryOperator;

import org.lampkeeper.message.GatewayTemplate.Form;
import org.lampkeeper.message.GatewayTemplate.Place;

/** How one provider tells what became of a message and what was answered, and what it is answered then. Pure. */
final class GatewayCallback {

    /** What a provider told. */
    sealed interface Told {
        /** It has arrived. */
        record Arrived() implements Told {
        }

        /** It will not arrive. {@code state}: in the operator's words for it. */
        record NotArrived(String state) implements Told {
        }

        /** Nothing that matters. */
        record UnderWay() implements Told {
        }

        /** Its person answered, and so it has arrived. */
        record Answered(boolean takes) implements Told {
        }

        /** Nothing that was agreed. {@code field}: where; empty for all of it. */
        record NotUnderstood(String field, String why) implements Told {
        }
    }

    /** What came of it. */
    enum Outcome {
        TAKEN, PASSED_ON, UNCHANGED, RECEIVED
    }

    /** What of a value that nobody agreed upon is worth repeating. */
    private static final int LONGEST_REPEATED = 40;

    private final GatewayConfig.Callback config;
    private final String contentType;
    private final Map<Outcome, GatewayTemplate> replies = new EnumMap<>(Outcome.class);

    /** @throws IllegalStateException naming the setting and what would be right */
    GatewayCallback(String setting, GatewayConfig.Callback config, GatewayConfig.Reply reply) {
        this.config = config;
        String fields = setting + ".callback";
        disjoint(fields, "take", config.take(), "pass-on", config.passOn());
        disjoint(fields, "delivered", config.delivered().orElse(List.of()), "failed", config.failed().orElse(List.of()));
        disjoint(fields, "under-way", config.underWay().orElse(List.of()), "delivered or failed", states());
        if (config.state().isPresent() == states().isEmpty()) {
            throw new IllegalStateException(fields + ".state, and " + fields + ".delivered or failed: both must be set, or neither");
        }
        Form form = GatewayTemplate.form(setting + ".reply.content-type", reply.contentType(), EnumSet.of(Form.PLAIN, Form.JSON, Form.XML));
        contentType = GatewayTemplate.withCharset(reply.contentType(), form);
        Set<Place> places = EnumSet.of(Place.TEXT, Place.WHY);
        replies.put(Outcome.TAKEN, new GatewayTemplate(setting + ".reply.taken", form, reply.taken(), places));
        replies.put(Outcome.PASSED_ON, new GatewayTemplate(setting + ".reply.passed-on", form, reply.passedOn(), places));
        replies.put(Outcome.UNCHANGED, new GatewayTemplate(setting + ".reply.unchanged", form, reply.unchanged(), places));
        reply.received().ifPresent(text -> replies.put(Outcome.RECEIVED, new GatewayTemplate(setting + ".reply.received", form, text, places)));
    }

    private List<String> states() {
        List<String> all = new ArrayList<>(config.delivered().orElse(List.of()));
        all.addAll(config.failed().orElse(List.of()));
        return all;
    }

    private static void disjoint(String setting, String one, List<String> these, String other, List<String> those) {
        these.stream().filter(it -> GatewayAnswer.has(those, it)).findFirst().ifPresent(it -> {
            throw new IllegalStateException(setting + "." + one + ": '" + it + "' stands under " + other + " as well, must stand under one of them");
        });
    }

    /** @param fields what stands under a name; empty where nothing does */
    Told judge(UnaryOperator<String> fields) {
        Optional<String> answer = config.answer().map(fields).filter(it -> !it.isBlank());
        if (answer.isPresent()) {
            String word = answer.get().strip().split("\\s+", 2)[0];
            boolean takes = GatewayAnswer.has(config.take(), word);
            return takes || GatewayAnswer.has(config.passOn(), word) ? new Told.Answered(takes)
                    : notAgreed(config.answer().get(), word, config.take(), config.passOn());
        }
        Optional<String> state = config.state().map(fields).filter(it -> !it.isBlank());
        if (state.isEmpty()) {
            return new Told.NotUnderstood("", "There is neither a state nor an answer in it where one would be looked for.");
        }
        if (GatewayAnswer.has(config.delivered().orElse(List.of()), state.get())) {
            return new Told.Arrived();
        }
        Optional<String> failed = config.failed().orElse(List.of()).stream().filter(it -> it.equalsIgnoreCase(state.get().strip())).findFirst();
        if (failed.isPresent()) {
            return new Told.NotArrived(failed.get());
        }
        return GatewayAnswer.has(config.underWay().orElse(List.of()), state.get()) ? new Told.UnderWay()
                : notAgreed(config.state().get(), state.get(), states(), config.underWay().orElse(List.of()));
    }

    private static Told notAgreed(String field, String value, List<String> these, List<String> those) {
        List<String> agreed = new ArrayList<>(these);
        agreed.addAll(those);
        String repeated = value.length() > LONGEST_REPEATED ? value.substring(0, LONGEST_REPEATED) + "…" : value;
        return new Told.NotUnderstood(field, "is \"" + repeated + "\", must be one of " + String.join(", ", agreed));
    }

    /** With the encoding in which it is sent. */
    String contentType() {
        return contentType;
    }

    /** Empty where nothing is to be said. {@code about}: the message's own sentence; {@code why}: nothing came of the answer. */
    Optional<String> reply(Outcome outcome, String about, String why) {
        return Optional.ofNullable(replies.get(outcome)).map(text -> text.filled(Map.of(Place.TEXT, about, Place.WHY, why)));
    }
}
