package org.lampkeeper.message;

import java.util.HashMap;
import java.util.Map;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import org.lampkeeper.message.GatewayCallback.Outcome;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

class GatewayCallbackTest {

    private final Map<String, String> settings = new HashMap<>(Map.of("sms.callback.state", "status", "sms.callback.delivered", "delivered",
            "sms.callback.failed", "failed,rejected", "sms.callback.under-way", "queued", "sms.callback.answer", "reply", "sms.callback.take", "take,1",
            "sms.callback.pass-on", "pass,2"));

    private GatewayCallback callback() {
        GatewayConfig.Way sms = GatewayFixture.config(settings).sms();
        return new GatewayCallback("lampkeeper.gateway.sms", sms.callback(), sms.reply());
    }

    @ParameterizedTest
    @CsvSource(delimiter = '|', textBlock = """
            delivered | ''              | Arrived[]
            DELIVERED | ''              | Arrived[]
            Rejected  | ''              | NotArrived[state=rejected]
            queued    | ''              | UnderWay[]
            ''        | 1               | Answered[takes=true]
            ''        | ' Take it now ' | Answered[takes=true]
            delivered | pass            | Answered[takes=false]
            lost      | ''              | NotUnderstood[field=status, why=is "lost", must be one of delivered, failed, rejected, queued]
            delivered | 7               | NotUnderstood[field=reply, why=is "7", must be one of take, 1, pass, 2]
            ''        | ''              | NotUnderstood[field=, why=There is neither a state nor an answer in it where one would be looked for.]
            """)
    void whatIsToldIsOneOfWhatWasAgreed(String state, String answer, String told) {
        assertThat(callback().judge(name -> name.equals("status") ? state : answer)).hasToString(told);
    }

    @Test
    void nothingIsUnderstoodWhereNothingWasAgreed() {
        settings.clear();

        assertThat(callback().judge(name -> "delivered")).isInstanceOf(GatewayCallback.Told.NotUnderstood.class);
    }

    @Test
    void replyIsEscapedByItsContentType() {
        assertThat(callback().reply(Outcome.UNCHANGED, "A <b>", "M. Teal has it.")).contains("Nothing is changed. M. Teal has it.");
        assertThat(callback().reply(Outcome.TAKEN, "A <b>", "")).contains("You have taken it: A <b>");
        assertThat(callback().reply(Outcome.RECEIVED, "A", "")).isEmpty();
        settings.putAll(Map.of("sms.reply.content-type", "text/xml", "sms.reply.taken", "<say>{text}</say>", "sms.reply.passed-on", "<say/>",
                "sms.reply.unchanged", "<say/>"));
        assertThat(callback().reply(Outcome.TAKEN, "A <b>", "")).contains("<say>A &#60;b&#62;</say>");
        assertThat(callback().contentType()).isEqualTo("text/xml; charset=UTF-8");
    }

    @ParameterizedTest
    @CsvSource(delimiter = '|', textBlock = """
            sms.callback.pass-on    | 1         | lampkeeper.gateway.sms.callback.take: '1' stands under pass-on as well
            sms.callback.failed     | Delivered | lampkeeper.gateway.sms.callback.delivered: 'delivered' stands under failed as well
            sms.callback.under-way  | failed    | lampkeeper.gateway.sms.callback.under-way: 'failed' stands under delivered or failed as well
            sms.reply.content-type  | application/json | lampkeeper.gateway.sms.reply.taken, character 1: must be JSON
            sms.reply.taken         | {number}  | lampkeeper.gateway.sms.reply.taken, character 1: {number} is nothing that can be filled in here, must be one of {text}, {why}
            """)
    void wrongSettingIsNamedWithWhatWouldBeRight(String name, String value, String why) {
        settings.put(name, value);

        assertThatThrownBy(this::callback).isInstanceOf(IllegalStateException.class).hasMessageStartingWith(why);
    }

    @Test
    void statesWithoutAFieldAreRefused() {
        settings.remove("sms.callback.state");

        assertThatThrownBy(this::callback).hasMessage("lampkeeper.gateway.sms.callback.state, and lampkeeper.gateway.sms.callback.delivered or failed: "
                + "both must be set, or neither");
    }
}
