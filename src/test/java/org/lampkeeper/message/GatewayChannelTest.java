package org.lampkeeper.message;

import java.io.IOException;
import java.io.StringReader;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.HashMap;
import java.util.Map;
import java.util.Optional;
import java.util.Properties;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.EnumSource;

import org.lampkeeper.journal.Head;
import org.lampkeeper.message.GatewayChannel.Way;
import org.lampkeeper.testing.GatewayCounterpart;
import org.lampkeeper.testing.GatewayCounterpart.Manner;
import org.lampkeeper.testing.GatewayCounterpart.Received;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

/** Against a provider that really speaks HTTP. */
class GatewayChannelTest {

    private static final String NUMBER = "+447700900123";
    private static final String KEY = "3f0c".repeat(8);
    private static final String CALLBACK = "https://watch.example/gateway/callback/secret";

    private final GatewayCounterpart provider = new GatewayCounterpart();
    private final Map<String, String> settings = new HashMap<>();

    @BeforeEach
    void providerIsSetUp() {
        settings.put("voice.address", provider.address() + "/calls");
        settings.put("voice.body", "{\"to\":\"{number}\",\"say\":\"{spoken}\",\"tell\":\"{callback}\"}");
        settings.put("voice.timeout", "1s");
        settings.put("voice.callback.answer", "/key");
    }

    @AfterEach
    void providerEnds() throws IOException {
        provider.close();
    }

    private GatewayChannel channel(Way way) {
        GatewayConfig config = GatewayFixture.config(settings);
        return new GatewayChannel(way, 0, way == Way.SMS ? config.sms() : config.voice(), Optional.of("GB"), message -> CALLBACK);
    }

    private Handover handOver(Way way) {
        return channel(way).handOver(MessageFixture.messageTo(NUMBER, KEY), Head.EMPTY);
    }

    private Received onlyRequest() {
        assertThat(provider.received()).hasSize(1);
        return provider.received().get(0);
    }

    @Test
    void callIsAskedForWithWhatIsSaidAndWhereToTellTheRest() throws Exception {
        settings.put("voice.headers.Authorization", "Bearer of-the-operator");
        settings.put("voice.headers.Idempotency-Key", "{id}");

        assertThat(handOver(Way.VOICE)).isEqualTo(new Handover.Accepted());

        Received request = onlyRequest();
        assertThat(request.method() + " " + request.target()).isEqualTo("POST /calls");
        assertThat(request.headers()).containsEntry("authorization", "Bearer of-the-operator").containsEntry("idempotency-key", KEY)
                .containsEntry("content-type", "application/json");
        JsonNode body = new ObjectMapper().readTree(request.body());
        assertThat(body.path("to").asText()).isEqualTo(NUMBER);
        assertThat(body.path("tell").asText()).isEqualTo(CALLBACK);
        assertThat(body.path("say").asText()).isEqualTo("This is Lampkeeper. North Stair 2 has no supply since 02:41. Board A way 4, C16 30 milliampere, "
                + "3 ampere fuse. Press 1 to take it, 2 to tell the next.");
    }

    @Test
    void nobodyIsAskedForAKeyThatNobodyWouldPassBack() throws Exception {
        settings.remove("voice.callback.answer");

        handOver(Way.VOICE);

        assertThat(new ObjectMapper().readTree(onlyRequest().body()).path("say").asText()).endsWith("3 ampere fuse.");
    }

    @Test
    void shortMessageGoesByGetWhereAllStandsInTheAddress() {
        settings.put("sms.address", provider.address() + "/send/{digits}?text={text}&ref={id}");
        settings.put("sms.method", "GET");

        assertThat(handOver(Way.SMS)).isInstanceOf(Handover.Accepted.class);

        Received request = onlyRequest();
        assertThat(request.method()).isEqualTo("GET");
        assertThat(request.target()).startsWith("/send/447700900123?text=North%20Stair%202%20has%20no%20supply").endsWith("&ref=" + KEY);
        assertThat(request.body()).isEmpty();
    }

    /** What people send back to a provider does not come here, so that they are not asked to. */
    @Test
    void shortMessageIsOneLineAndAsksForNoWords() {
        settings.put("sms.address", provider.address() + "/send/{digits}");
        settings.put("sms.body", "{\"text\":\"{text}\"}");

        channel(Way.SMS).handOver(MessageFixture.briefly(NUMBER, KEY, "North Stair 2 has no supply.\nhttps://w.example/s/AQwZ\nReply TAKE7KM or PASS7KM"), Head.EMPTY);

        assertThat(onlyRequest().body()).isEqualTo("{\"text\":\"North Stair 2 has no supply. https://w.example/s/AQwZ\"}");
    }

    @Test
    void bodyMayBeXmlByPut() {
        settings.put("sms.address", provider.address() + "/send");
        settings.put("sms.method", "PUT");
        settings.put("sms.content-type", "application/xml");
        settings.put("sms.body", "<send to=\"{number}\">{text}</send>");

        assertThat(handOver(Way.SMS)).isInstanceOf(Handover.Accepted.class);

        Received request = onlyRequest();
        assertThat(request.method()).isEqualTo("PUT");
        assertThat(request.headers()).containsEntry("content-type", "application/xml; charset=UTF-8");
        assertThat(request.body()).startsWith("<send to=\"+447700900123\">North Stair 2");
    }

    /** RFC 9110, section 15, and RFC 6585, section 4: this message, not now, or nothing from us. */
    @ParameterizedTest
    @CsvSource({"200, Accepted", "202, Accepted", "299, Accepted", "400, Refused", "422, Refused", "408, Deferred", "429, Deferred", "302, Unreachable",
            "401, Unreachable", "403, Unreachable", "404, Unreachable", "500, Unreachable", "503, Unreachable"})
    void statusSaysWhetherItIsTaken(int status, String outcome) {
        provider.answers(status, "");

        assertThat(handOver(Way.VOICE).getClass().getSimpleName()).isEqualTo(outcome);
    }

    @ParameterizedTest
    @CsvSource(delimiter = '|', textBlock = """
            {"calls":[{"state":"QUEUED","id":"c-7"}]}  | Accepted[networkId=Optional[c-7]]
            {"calls":[{"state":"queued"}]}             | Accepted[networkId=Optional.empty]
            {"calls":[{"state":"invalid","why":"+44 7700 900123 is no number"}]} | Refused[reason=the gateway answered 200: (number) is no number, invalid]
            {"calls":[{"state":"full"}]}               | Deferred[reason=the gateway answered 200, full]
            {"calls":[]}                               | Unreachable[reason=the gateway answered 200, without anything at /calls/0/state]
            Welcome                                    | Unreachable[reason=the gateway answered 200, without anything at /calls/0/state]
            """)
    void outcomeInTheAnswerCountsWhereTheOperatorSaysSo(String answer, String outcome) {
        settings.putAll(Map.of("voice.answer.outcome", "/calls/0/state", "voice.answer.accepted", "queued,ringing", "voice.answer.refused", "invalid",
                "voice.answer.id", "/calls/0/id", "voice.answer.reason", "/calls/0/why"));
        provider.answers(200, answer);

        assertThat(handOver(Way.VOICE)).hasToString(outcome);
    }

    @ParameterizedTest
    @EnumSource(names = {"HANGS", "NEVER_ENDS_ITS_ANSWER"})
    void providerThatKeepsUsWaitingIsGivenUpInTimeAndTheNextOneWorks(Manner manner) {
        GatewayChannel channel = channel(Way.VOICE);
        provider.behaves(manner);
        long begun = System.nanoTime();

        assertThat(channel.handOver(MessageFixture.messageTo(NUMBER, KEY), Head.EMPTY)).isInstanceOf(Handover.Unreachable.class);
        assertThat(Duration.ofNanos(System.nanoTime() - begun)).isLessThan(channel.timeout().plusSeconds(2));
        provider.behaves(Manner.ANSWERS);
        assertThat(channel.handOver(MessageFixture.messageTo(NUMBER, KEY), Head.EMPTY)).isInstanceOf(Handover.Accepted.class);
    }

    @Test
    void slowAnswerIsStillAnAnswer() {
        provider.behaves(Manner.ANSWERS_SLOWLY);

        assertThat(handOver(Way.VOICE)).isInstanceOf(Handover.Accepted.class);
    }

    @ParameterizedTest
    @CsvSource({"CUTS_BEFORE_IT_TOOK, 1", "CUTS_AFTER_IT_TOOK, 2"})
    void requestThatIsCutIsNeverCalledTakenAndTheRepeatIsTheSame(Manner manner, int taken) {
        provider.behaves(manner);
        assertThat(handOver(Way.VOICE)).isInstanceOf(Handover.Unreachable.class);
        provider.behaves(Manner.ANSWERS);

        assertThat(handOver(Way.VOICE)).isInstanceOf(Handover.Accepted.class);
        assertThat(provider.received()).hasSize(taken).allMatch(it -> it.body().equals(provider.received().get(0).body()));
    }

    @Test
    void providerThatIsAwayIsUnreachable() throws IOException {
        provider.close();

        assertThat(handOver(Way.VOICE)).isInstanceOf(Handover.Unreachable.class);
    }

    @Test
    void messageWithoutANumberIsRefusedAndNobodyIsAsked() {
        assertThat(channel(Way.VOICE).handOver(MessageFixture.messageTo("", KEY), Head.EMPTY)).isInstanceOf(Handover.Refused.class);
        assertThat(provider.received()).isEmpty();
    }

    @Test
    void wayWithoutAnAddressIsNotOffered() {
        assertThat(channel(Way.SMS).isOffered()).isFalse();
        assertThat(channel(Way.VOICE).isOffered()).isTrue();
        assertThat(channel(Way.SMS).serves()).isEqualTo("SMS");
        assertThat(channel(Way.VOICE).address("07700 900123")).isEqualTo(NUMBER);
    }

    @ParameterizedTest
    @CsvSource(delimiter = '|', textBlock = """
            voice.content-type            | text/html      | lampkeeper.gateway.voice.content-type is text/html, must be one of application/json
            voice.method                  | GET            | lampkeeper.gateway.voice.body: must be left out where the method is GET
            voice.body                    | {"a":"{text}"} | lampkeeper.gateway.voice.body: must have {number} or {digits}
            voice.body                    | {"a":"{number}"} | lampkeeper.gateway.voice.body: must have {text} or {spoken}
            voice.address                 | calls.example  | lampkeeper.gateway.voice.address, character 1: must begin with http:// or https://
            voice.headers.Content-Length  | 5              | lampkeeper.gateway.voice.headers."Content-Length": must be the name of a header that may be set
            voice.headers.X-Text          | {text}         | lampkeeper.gateway.voice.headers."X-Text", character 1: {text} is nothing that can be filled in here, must be one of {number}
            voice.headers.X-Key           | schlüssel      | lampkeeper.gateway.voice.headers."X-Key": must be one line of letters, digits and signs of ASCII
            voice.timeout                 | 0s             | lampkeeper.gateway.voice.timeout is PT0S, must be longer
            voice.answer.status           | 2xx            | lampkeeper.gateway.voice.answer.status: '2xx' is no status, must be like 202 or 200-299
            voice.answer.outcome          | /state         | lampkeeper.gateway.voice.answer.outcome and lampkeeper.gateway.voice.answer.accepted: both must be set
            voice.answer.id               | id             | lampkeeper.gateway.voice.answer.id: 'id' is no JSON pointer, must be like /messages/0/status
            """)
    void wrongSettingIsNamedWithWhatWouldBeRight(String name, String value, String why) {
        settings.put(name, value);

        assertThatThrownBy(() -> channel(Way.VOICE)).isInstanceOf(IllegalStateException.class).hasMessageStartingWith(why);
    }

    @Test
    void bodyIsMissedUnlessAllStandsInTheAddress() {
        settings.remove("voice.body");

        assertThatThrownBy(() -> channel(Way.VOICE)).hasMessage("lampkeeper.gateway.voice.body: must be set, or the method be GET");
    }

    @Test
    void exampleInTheDocumentCanBeUsedAsItIs() throws IOException {
        String document = Files.readString(Path.of("docs/channels.md"));
        Properties example = new Properties();
        example.load(new StringReader(document.split("```properties\n", 2)[1].split("```", 2)[0]));
        settings.clear();
        example.forEach((name, value) -> settings.put(name.toString().replaceFirst("^lampkeeper\\.gateway\\.", ""), value.toString()));

        assertThat(channel(Way.VOICE).isOffered()).isTrue();
        assertThat(channel(Way.SMS).isOffered()).isTrue();
        GatewayConfig.Way voice = GatewayFixture.config(settings).voice();
        assertThat(new GatewayCallback("lampkeeper.gateway.voice", voice.callback(), voice.reply()).contentType()).isEqualTo("application/json");
    }

    @Test
    void keysAreThoseThatTheOperatorSet() {
        settings.putAll(Map.of("voice.callback.take", "5", "voice.callback.pass-on", "9"));

        handOver(Way.VOICE);

        assertThat(onlyRequest().body()).contains("Press 5 to take it, 9 to tell the next.");
    }
}
