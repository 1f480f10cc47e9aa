package org.lampkeeper.telemetry;

import java.util.List;
import java.util.Map;

import io.netty.channel.ChannelPipeline;
import io.netty.handler.codec.mqtt.MqttDecoder;
import org.apache.activemq.artemis.api.core.ActiveMQBuffer;
import org.apache.activemq.artemis.api.core.BaseInterceptor;
import org.apache.activemq.artemis.api.core.RoutingType;
import org.apache.activemq.artemis.api.core.SimpleString;
import org.apache.activemq.artemis.core.protocol.mqtt.MQTTInterceptor;
import org.apache.activemq.artemis.core.protocol.mqtt.MQTTProtocolHandler;
import org.apache.activemq.artemis.core.protocol.mqtt.MQTTProtocolManagerFactory;
import org.apache.activemq.artemis.core.protocol.mqtt.MQTTRoutingHandler;
import org.apache.activemq.artemis.core.remoting.impl.netty.NettyServerConnection;
import org.apache.activemq.artemis.core.server.ActiveMQServer;
import org.apache.activemq.artemis.spi.core.protocol.ConnectionEntry;
import org.apache.activemq.artemis.spi.core.protocol.ProtocolManager;
import org.apache.activemq.artemis.spi.core.protocol.ProtocolManagerFactory;
import org.apache.activemq.artemis.spi.core.protocol.RemotingConnection;
import org.apache.activemq.artemis.spi.core.remoting.Acceptor;
import org.apache.activemq.artemis.spi.core.remoting.Connection;

/**
 * Artemis's MQTT with a {@link BrokerGate} before it, and with a decoder that stops at our packet limit: its own takes in 256 MB from
 * anybody before it asks who that is.
 */
final class GatedMqtt extends MQTTProtocolManagerFactory {

    private final String ingestUser;
    private final BrokerGate.Lobby lobby;
    private final int maxPacketBytes;

    GatedMqtt(String ingestUser, BrokerGate.Lobby lobby, int maxPacketBytes) {
        this.ingestUser = ingestUser;
        this.lobby = lobby;
        this.maxPacketBytes = maxPacketBytes;
    }

    @Override
    @SuppressWarnings("unchecked")   // the factory's own signature is raw
    public ProtocolManager<MQTTInterceptor, MQTTRoutingHandler> createProtocolManager(ActiveMQServer server, Map<String, Object> parameters,
            List<BaseInterceptor> incoming, List<BaseInterceptor> outgoing) throws Exception {
        return new Gated(super.createProtocolManager(server, parameters, incoming, outgoing));
    }

    private final class Gated implements ProtocolManager<MQTTInterceptor, MQTTRoutingHandler> {

        private final ProtocolManager<MQTTInterceptor, MQTTRoutingHandler> mqtt;

        Gated(ProtocolManager<MQTTInterceptor, MQTTRoutingHandler> mqtt) {
            this.mqtt = mqtt;
        }

        @Override
        public void addChannelHandlers(ChannelPipeline pipeline) {
            mqtt.addChannelHandlers(pipeline);
            pipeline.replace(MqttDecoder.class, "mqtt-decoder", new MqttDecoder(maxPacketBytes));
            String broker = pipeline.context(MQTTProtocolHandler.class).name();
            pipeline.addBefore(broker, "gate", new BrokerGate(ingestUser, lobby));
        }

        @Override
        public ProtocolManagerFactory<MQTTInterceptor> getFactory() {
            return GatedMqtt.this;
        }

        @Override
        public void updateInterceptors(List<BaseInterceptor> incoming, List<BaseInterceptor> outgoing) {
            mqtt.updateInterceptors(incoming, outgoing);
        }

        @Override
        public ConnectionEntry createConnectionEntry(Acceptor acceptor, Connection connection) {
            return mqtt.createConnectionEntry(acceptor, connection);
        }

        @Override
        public void removeHandler(String name) {
            mqtt.removeHandler(name);
        }

        @Override
        public void handleBuffer(RemotingConnection connection, ActiveMQBuffer buffer) {
            mqtt.handleBuffer(connection, buffer);
        }

        @Override
        public boolean isProtocol(byte[] start) {
            return mqtt.isProtocol(start);
        }

        @Override
        public boolean acceptsNoHandshake() {
            return mqtt.acceptsNoHandshake();
        }

        @Override
        public void handshake(NettyServerConnection connection, ActiveMQBuffer buffer) {
            mqtt.handshake(connection, buffer);
        }

        @Override
        public List<String> websocketSubprotocolIdentifiers() {
            return mqtt.websocketSubprotocolIdentifiers();
        }

        @Override
        public void setAnycastPrefix(String prefix) {
            mqtt.setAnycastPrefix(prefix);
        }

        @Override
        public void setMulticastPrefix(String prefix) {
            mqtt.setMulticastPrefix(prefix);
        }

        @Override
        public Map<SimpleString, RoutingType> getPrefixes() {
            return mqtt.getPrefixes();
        }

        @Override
        public void setSecurityDomain(String domain) {
            mqtt.setSecurityDomain(domain);
        }

        @Override
        public String getSecurityDomain() {
            return mqtt.getSecurityDomain();
        }

        @Override
        public MQTTRoutingHandler getRoutingHandler() {
            return mqtt.getRoutingHandler();
        }
    }
}
