package org.lampkeeper.message;

import java.time.Clock;
import java.util.EnumMap;
import java.util.Map;

import jakarta.enterprise.inject.Produces;
import jakarta.inject.Singleton;

import org.lampkeeper.message.GatewayChannel.Way;

/** The ways by which providers are asked over HTTP, as the operator set them up. A wrong setting stops the start. */
@Singleton
class Gateways {

    private final GatewayConfig config;
    private final SmsConfig numbers;
    private final MessageConfig messages;
    private final LinkTokens tokens;
    private final Clock clock;
    private final Map<Way, GatewayCallback> callbacks = new EnumMap<>(Way.class);

    Gateways(GatewayConfig config, SmsConfig numbers, MessageConfig messages, LinkTokens tokens, Clock clock) {
        this.config = config;
        this.numbers = numbers;
        this.messages = messages;
        this.tokens = tokens;
        this.clock = clock;
        for (Way way : Way.values()) {
            callbacks.put(way, new GatewayCallback(way.setting(), settings(way).callback(), settings(way).reply()));
        }
    }

    private GatewayConfig.Way settings(Way way) {
        return switch (way) {
            case SMS -> config.sms();
            case VOICE -> config.voice();
        };
    }

    /** What its provider may call back. */
    GatewayCallback callback(Way way) {
        return callbacks.get(way);
    }

    @Produces
    @Singleton
    Channel sms() {
        // A short message centre stands at 0.
        return channel(Way.SMS, config.smsFirst() ? -1 : 1);
    }

    @Produces
    @Singleton
    Channel voice() {
        return channel(Way.VOICE, 0);
    }

    private Channel channel(Way way, int place) {
        return new GatewayChannel(way, place, settings(way), numbers.country(), this::callbackAddress);
    }

    private String callbackAddress(OutgoingMessage message) {
        String token = tokens.issueForCallback(message.id(), message.personId(), clock.instant().plus(config.callbackLife()));
        return messages.address("gateway/callback/" + token);
    }
}
