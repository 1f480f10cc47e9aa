package org.lampkeeper.telemetry;

import java.util.ArrayDeque;
import java.util.Collections;
import java.util.Deque;
import java.util.Map;
import java.util.Set;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.atomic.LongAdder;

import io.netty.channel.Channel;
import io.netty.channel.ChannelDuplexHandler;
import io.netty.channel.ChannelFutureListener;
import io.netty.channel.ChannelHandlerContext;
import io.netty.channel.ChannelPromise;
import io.netty.handler.codec.TooLongFrameException;
import io.netty.handler.codec.mqtt.MqttConnAckMessage;
import io.netty.handler.codec.mqtt.MqttConnectMessage;
import io.netty.handler.codec.mqtt.MqttConnectReturnCode;
import io.netty.handler.codec.mqtt.MqttFixedHeader;
import io.netty.handler.codec.mqtt.MqttMessage;
import io.netty.handler.codec.mqtt.MqttMessageBuilders;
import io.netty.handler.codec.mqtt.MqttMessageIdAndPropertiesVariableHeader;
import io.netty.handler.codec.mqtt.MqttMessageType;
import io.netty.handler.codec.mqtt.MqttProperties;
import io.netty.handler.codec.mqtt.MqttQoS;
import io.netty.handler.codec.mqtt.MqttReasonCodes;
import io.netty.handler.codec.mqtt.MqttSubAckMessage;
import io.netty.handler.codec.mqtt.MqttSubAckPayload;
import io.netty.handler.codec.mqtt.MqttSubscribeMessage;
import io.netty.handler.codec.mqtt.MqttVersion;
import io.netty.util.ReferenceCountUtil;

/**
 * What is settled about a packet before the broker itself sees it. Artemis looks up a subscription's queue before it asks for permission
 * and deletes that queue when the answer is no: one SUBSCRIBE of a sensor, or of somebody whose login failed, would delete the ingest
 * queue with every report that waits in it. So nothing but CONNECT passes before the login was accepted, and no SUBSCRIBE passes but the
 * ingest client's. A client id is tied to the login too, because whoever connects with another's id takes over its session.
 *
 * <p>One gate per connection; all of it runs on the connection's event loop.
 */
final class BrokerGate extends ChannelDuplexHandler {

    // Ours: a client may send before its CONNACK, but has no reason to send much.
    private static final int HELD_AT_MOST = 64;

    private static final int SESSION_EXPIRY = MqttProperties.MqttPropertyType.SESSION_EXPIRY_INTERVAL.value();
    private static final long LONGEST_COUNTED_EXPIRY = Integer.MAX_VALUE / 1_000;
    // MQTT 5.0 §3.1.2.11.2: 0xFFFFFFFF does not expire.
    private static final int NEVER = -1;

    private final String ingestUser;
    private final Lobby lobby;
    private final Deque<MqttMessage> held = new ArrayDeque<>();
    private State state = State.NEW;
    private boolean version5;
    private String user = "";

    private enum State {
        NEW, ASKED, ACCEPTED, CLOSED
    }

    /** What the gates of one broker share. Thread-safe. */
    static final class Lobby {

        private final Map<String, Set<Channel>> byUser = new ConcurrentHashMap<>();
        private final LongAdder refusedPackets = new LongAdder();
        private final LongAdder refusedClientIds = new LongAdder();
        private volatile boolean closed;

        /** From now on every packet is dropped unanswered and its connection closed: it was not accepted, so its sender keeps it. */
        void close() {
            closed = true;
            byUser.values().forEach(channels -> channels.forEach(Channel::close));
        }

        /** Ends the connections of one login. */
        void cutOff(String user) {
            byUser.getOrDefault(user, Set.of()).forEach(Channel::close);
        }

        int connections() {
            return byUser.values().stream().mapToInt(Set::size).sum();
        }

        long refusedPackets() {
            return refusedPackets.sum();
        }

        long refusedClientIds() {
            return refusedClientIds.sum();
        }

        private void enter(String user, Channel channel) {
            byUser.compute(user, (name, channels) -> {
                Set<Channel> all = channels == null ? Collections.newSetFromMap(new ConcurrentHashMap<>()) : channels;
                all.add(channel);
                return all;
            });
        }

        private void leave(String user, Channel channel) {
            byUser.computeIfPresent(user, (name, channels) -> {
                channels.remove(channel);
                return channels.isEmpty() ? null : channels;
            });
        }
    }

    BrokerGate(String ingestUser, Lobby lobby) {
        this.ingestUser = ingestUser;
        this.lobby = lobby;
    }

    @Override
    public void channelRead(ChannelHandlerContext ctx, Object packet) {
        MqttMessage message = (MqttMessage) packet;
        if (lobby.closed || state == State.CLOSED) {
            refuse(ctx, message);
        } else if (message.decoderResult().isFailure()) {
            lobby.refusedPackets.increment();
            boolean tooLarge = message.decoderResult().cause() instanceof TooLongFrameException;
            disconnect(ctx, message, tooLarge ? MqttReasonCodes.Disconnect.PACKET_TOO_LARGE : MqttReasonCodes.Disconnect.MALFORMED_PACKET);
        } else if (message instanceof MqttConnectMessage connect) {
            connect(ctx, connect);
        } else if (state == State.NEW) {
            refuse(ctx, message);
        } else if (state == State.ASKED) {
            hold(ctx, message);
        } else {
            pass(ctx, message);
        }
    }

    private void connect(ChannelHandlerContext ctx, MqttConnectMessage connect) {
        if (state != State.NEW) {
            disconnect(ctx, connect, MqttReasonCodes.Disconnect.PROTOCOL_ERROR);   // MQTT 5.0 §3.1, [MQTT-3.1.0-2]
            return;
        }
        int version = connect.variableHeader().version();
        version5 = version == MqttVersion.MQTT_5.protocolLevel();
        // MQTT 3.1 must acknowledge a publish that it refuses; then a sensor would believe that its report was taken.
        if (version < MqttVersion.MQTT_3_1_1.protocolLevel()) {
            refuseConnect(ctx, connect, MqttConnectReturnCode.CONNECTION_REFUSED_UNACCEPTABLE_PROTOCOL_VERSION);
            return;
        }
        String name = connect.payload().userName();
        user = name == null ? "" : name;
        if (!isOwnClientId(connect.payload().clientIdentifier())) {
            lobby.refusedClientIds.increment();
            refuseConnect(ctx, connect, version5 ? MqttConnectReturnCode.CONNECTION_REFUSED_CLIENT_IDENTIFIER_NOT_VALID
                    : MqttConnectReturnCode.CONNECTION_REFUSED_IDENTIFIER_REJECTED);
            return;
        }
        if (connect.variableHeader().isWillFlag() && !isOwnWill(connect.payload().willTopic())) {
            lobby.refusedPackets.increment();
            refuseConnect(ctx, connect, version5 ? MqttConnectReturnCode.CONNECTION_REFUSED_NOT_AUTHORIZED_5
                    : MqttConnectReturnCode.CONNECTION_REFUSED_NOT_AUTHORIZED);
            return;
        }
        if (version5) {
            settleSessionExpiry(connect.variableHeader().properties());
        }
        state = State.ASKED;
        ctx.fireChannelRead(connect);
    }

    /**
     * Artemis counts a session's seconds to its expiry in thousandths in an {@code int}: anything above 24 days ends at once, with the
     * queue; so it is never instead. And where a session outlives its connection, Artemis keeps the will back until the session ends;
     * a sensor reads nothing, so it needs no session, and its will must be heard when its link breaks.
     */
    private void settleSessionExpiry(MqttProperties properties) {
        if (!isIngest()) {
            properties.add(new MqttProperties.IntegerProperty(SESSION_EXPIRY, 0));
        } else if (properties.getProperty(SESSION_EXPIRY) instanceof MqttProperties.IntegerProperty asked
                && Integer.toUnsignedLong(asked.value()) > LONGEST_COUNTED_EXPIRY) {
            properties.add(new MqttProperties.IntegerProperty(SESSION_EXPIRY, NEVER));
        }
    }

    private boolean isIngest() {
        return user.equals(ingestUser);
    }

    private boolean isWatcher() {
        return user.equals(BrokerTopics.WATCHER);
    }

    private boolean isOwnClientId(String clientId) {
        if (isIngest()) {
            return clientId.startsWith(BrokerTopics.OUR_NAMES);
        }
        // Several may watch, each under an id of its own; a sensor has the one.
        return clientId.isEmpty() || clientId.equals(user) || isWatcher() && clientId.startsWith(BrokerTopics.WATCHER + "-");
    }

    private boolean isOwnWill(String topic) {
        if (isWatcher()) {
            return false;
        }
        return isIngest() ? topic.startsWith(BrokerTopics.INGEST) : BrokerTopics.writableBy(user).contains(topic);
    }

    private void hold(ChannelHandlerContext ctx, MqttMessage message) {
        if (held.size() == HELD_AT_MOST) {
            refuse(ctx, message);
        } else {
            held.add(message);
        }
    }

    private void pass(ChannelHandlerContext ctx, MqttMessage message) {
        if (isIngest()) {
            ctx.fireChannelRead(message);
            return;
        }
        if (isWatcher()) {
            watch(ctx, message);
            return;
        }
        switch (message.fixedHeader().messageType()) {
            case PUBLISH, PUBREL, PINGREQ, DISCONNECT -> ctx.fireChannelRead(message);
            case SUBSCRIBE -> refuseSubscribe(ctx, (MqttSubscribeMessage) message);
            // A sensor is sent nothing that it could acknowledge, and holds no subscription that it could end.
            case CONNECT, CONNACK, PUBACK, PUBREC, PUBCOMP, SUBACK, UNSUBSCRIBE, UNSUBACK, PINGRESP, AUTH -> refuse(ctx, message);
        }
    }

    /** A watcher reads the one topic, as a whole or not at all: with it no other filter comes in. */
    private void watch(ChannelHandlerContext ctx, MqttMessage message) {
        switch (message.fixedHeader().messageType()) {
            case PUBACK, PUBREC, PUBREL, PUBCOMP, UNSUBSCRIBE, PINGREQ, DISCONNECT -> ctx.fireChannelRead(message);
            case SUBSCRIBE -> {
                MqttSubscribeMessage subscribe = (MqttSubscribeMessage) message;
                if (subscribe.payload().topicSubscriptions().stream().allMatch(topic -> topic.topicFilter().equals(Topics.HEARTBEAT))) {
                    ctx.fireChannelRead(message);
                } else {
                    refuseSubscribe(ctx, subscribe);
                }
            }
            case PUBLISH, CONNECT, CONNACK, SUBACK, UNSUBACK, PINGRESP, AUTH -> refuse(ctx, message);
        }
    }

    private void refuseSubscribe(ChannelHandlerContext ctx, MqttSubscribeMessage subscribe) {
        lobby.refusedPackets.increment();
        // MQTT 3.1.1 §3.9.3 has the one code for failure; MQTT 5.0 says why.
        int code = Byte.toUnsignedInt(version5 ? MqttReasonCodes.SubAck.NOT_AUTHORIZED.byteValue()
                : MqttReasonCodes.SubAck.UNSPECIFIED_ERROR.byteValue());
        int[] answers = subscribe.payload().topicSubscriptions().stream().mapToInt(topic -> code).toArray();
        ctx.writeAndFlush(new MqttSubAckMessage(new MqttFixedHeader(MqttMessageType.SUBACK, false, MqttQoS.AT_MOST_ONCE, false, 0),
                new MqttMessageIdAndPropertiesVariableHeader(subscribe.variableHeader().messageId(), MqttProperties.NO_PROPERTIES),
                new MqttSubAckPayload(answers)));
        ReferenceCountUtil.release(subscribe);
    }

    private void refuseConnect(ChannelHandlerContext ctx, MqttConnectMessage connect, MqttConnectReturnCode code) {
        state = State.CLOSED;
        ReferenceCountUtil.release(connect);
        ctx.writeAndFlush(MqttMessageBuilders.connAck().returnCode(code).sessionPresent(false).properties(MqttProperties.NO_PROPERTIES).build())
                .addListener(ChannelFutureListener.CLOSE);
    }

    private void disconnect(ChannelHandlerContext ctx, MqttMessage message, MqttReasonCodes.Disconnect reason) {
        boolean mayAnswer = version5 && state == State.ACCEPTED;
        state = State.CLOSED;
        ReferenceCountUtil.release(message);
        if (mayAnswer) {
            ctx.writeAndFlush(MqttMessageBuilders.disconnect().reasonCode(reason.byteValue()).build()).addListener(ChannelFutureListener.CLOSE);
        } else {
            ctx.close();
        }
    }

    private void refuse(ChannelHandlerContext ctx, MqttMessage message) {
        if (!lobby.closed && state != State.CLOSED) {
            lobby.refusedPackets.increment();
        }
        state = State.CLOSED;
        ReferenceCountUtil.release(message);
        ctx.close();
    }

    @Override
    public void write(ChannelHandlerContext ctx, Object packet, ChannelPromise promise) {
        if (version5 && !isIngest() && packet instanceof MqttConnAckMessage answer
                && answer.variableHeader().connectReturnCode() == MqttConnectReturnCode.CONNECTION_ACCEPTED) {
            // MQTT 5.0 §3.2.2.3.2: a server that does not keep what was asked for says so.
            answer.variableHeader().properties().add(new MqttProperties.IntegerProperty(SESSION_EXPIRY, 0));
        }
        ctx.write(packet, promise);
        if (state == State.ASKED && packet instanceof MqttConnAckMessage answer) {
            if (answer.variableHeader().connectReturnCode() == MqttConnectReturnCode.CONNECTION_ACCEPTED) {
                accept(ctx);
            } else {
                state = State.CLOSED;
            }
        }
    }

    private void accept(ChannelHandlerContext ctx) {
        state = State.ACCEPTED;
        lobby.enter(user, ctx.channel());
        if (lobby.closed) {
            ctx.close();
            return;
        }
        while (!held.isEmpty()) {
            channelRead(ctx, held.remove());
        }
    }

    @Override
    public void channelInactive(ChannelHandlerContext ctx) {
        state = State.CLOSED;
        lobby.leave(user, ctx.channel());
        while (!held.isEmpty()) {
            ReferenceCountUtil.release(held.remove());
        }
        ctx.fireChannelInactive();
    }
}
