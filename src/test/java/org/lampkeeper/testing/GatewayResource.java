package org.lampkeeper.testing;

import java.util.Map;

import io.quarkus.test.common.QuarkusTestResourceLifecycleManager;

/** Sends the voice calls and the SMS of every application under test to {@link GatewayCounterpart#shared()}. Nobody has such a channel by himself. */
public class GatewayResource implements QuarkusTestResourceLifecycleManager {

    @Override
    public Map<String, String> start() {
        String address = GatewayCounterpart.shared().address();
        return Map.ofEntries(
                Map.entry("lampkeeper.gateway.voice.address", address + "/calls"),
                Map.entry("lampkeeper.gateway.voice.body", "{\"to\":\"{number}\",\"say\":\"{spoken}\",\"tell\":\"{callback}\"}"),
                Map.entry("lampkeeper.gateway.voice.answer.id", "/id"),
                Map.entry("lampkeeper.gateway.voice.timeout", "2s"),
                Map.entry("lampkeeper.gateway.voice.callback.state", "/call/state"),
                Map.entry("lampkeeper.gateway.voice.callback.delivered", "answered"),
                Map.entry("lampkeeper.gateway.voice.callback.failed", "busy,no-answer"),
                Map.entry("lampkeeper.gateway.voice.callback.under-way", "ringing"),
                Map.entry("lampkeeper.gateway.voice.callback.answer", "/call/key"),
                Map.entry("lampkeeper.gateway.voice.reply.content-type", "application/xml"),
                Map.entry("lampkeeper.gateway.voice.reply.taken", "<answer><say>You have taken it: {text}</say></answer>"),
                Map.entry("lampkeeper.gateway.voice.reply.passed-on", "<answer><say>The next person is told.</say></answer>"),
                Map.entry("lampkeeper.gateway.voice.reply.unchanged", "<answer><say>Nothing is changed. {why}</say></answer>"),
                Map.entry("lampkeeper.gateway.sms.address", address + "/messages"),
                Map.entry("lampkeeper.gateway.sms.content-type", "application/x-www-form-urlencoded"),
                Map.entry("lampkeeper.gateway.sms.body", "to={digits}&text={text}&tell={callback}"),
                Map.entry("lampkeeper.gateway.sms.timeout", "2s"),
                Map.entry("lampkeeper.gateway.sms.callback.state", "status"),
                Map.entry("lampkeeper.gateway.sms.callback.delivered", "delivered"),
                Map.entry("lampkeeper.gateway.sms.callback.failed", "failed"),
                Map.entry("lampkeeper.gateway.sms.callback.answer", "reply"),
                Map.entry("lampkeeper.gateway.sms.callback.take", "take,1"),
                Map.entry("lampkeeper.gateway.sms.callback.pass-on", "pass,2"));
    }

    @Override
    public void stop() {
        // The counterpart ends with the JVM; the next application under test uses it again.
    }
}
