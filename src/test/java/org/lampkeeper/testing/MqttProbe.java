package org.lampkeeper.testing;

import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.List;
import java.util.concurrent.CopyOnWriteArrayList;

import org.eclipse.paho.client.mqttv3.IMqttMessageListener;
import org.eclipse.paho.client.mqttv3.MqttConnectOptions;
import org.eclipse.paho.client.mqttv3.MqttException;
import org.eclipse.paho.client.mqttv3.persist.MemoryPersistence;
import org.eclipse.paho.mqttv5.client.IMqttToken;
import org.eclipse.paho.mqttv5.client.MqttCallback;
import org.eclipse.paho.mqttv5.client.MqttClientException;
import org.eclipse.paho.mqttv5.client.MqttConnectionOptions;
import org.eclipse.paho.mqttv5.client.MqttDisconnectResponse;
import org.eclipse.paho.mqttv5.common.MqttMessage;
import org.eclipse.paho.mqttv5.common.MqttSubscription;
import org.eclipse.paho.mqttv5.common.packet.MqttProperties;

/**
 * A second client for tests, in either version of MQTT, that reports what the broker answered as one word and a code: {@code done},
 * {@code refused 135}, {@code dropped} (the connection ended instead of an answer).
 */
public interface MqttProbe extends AutoCloseable {

    /** What every answer is waited for at most. */
    Duration PATIENCE = Duration.ofSeconds(10);

    String DONE = "done";
    String DROPPED = "dropped";

    /** How to connect; {@code keepSession} is a persistent session, kept for as long as the broker allows. */
    record Login(URI broker, String clientId, String user, String password, boolean keepSession, String willTopic) {

        public static Login of(URI broker, String user, String password) {
            return new Login(broker, user, user, password, false, "");
        }

        public Login as(String otherClientId) {
            return new Login(broker, otherClientId, user, password, keepSession, willTopic);
        }

        public Login at(URI otherBroker) {
            return new Login(otherBroker, clientId, user, password, keepSession, willTopic);
        }

        public Login keepingSession() {
            return new Login(broker, clientId, user, password, true, willTopic);
        }

        /** With the retained word {@code down} as last will. */
        public Login withWill(String topic) {
            return new Login(broker, clientId, user, password, keepSession, topic);
        }
    }

    record Received(String topic, String payload, boolean retained) {
    }

    static MqttProbe ofVersion(String version) {
        return switch (version) {
            case "3.1.1" -> new V3();
            case "5" -> new V5();
            default -> throw new IllegalArgumentException("MQTT version " + version + ", must be 3.1.1 or 5");
        };
    }

    String connect(Login login);

    /** At QoS 1. */
    String publish(String topic, byte[] payload, boolean retain);

    default String publish(String topic, String payload) {
        return publish(topic, payload.getBytes(StandardCharsets.UTF_8), false);
    }

    /** At QoS 1. */
    String subscribe(String filter);

    boolean isConnected();

    /** In order of arrival; grows while one looks. */
    List<Received> received();

    default List<String> payloads() {
        return received().stream().map(Received::payload).toList();
    }

    /** Ends the connection without a DISCONNECT, as a lost link does, so that the will is published. */
    void breakOff();

    /** Disconnects in order. */
    @Override
    void close();

    /** MQTT 3.1.1. */
    final class V3 implements MqttProbe {

        private final List<Received> received = new CopyOnWriteArrayList<>();
        private org.eclipse.paho.client.mqttv3.MqttAsyncClient client;

        @Override
        public String connect(Login login) {
            try {
                client = new org.eclipse.paho.client.mqttv3.MqttAsyncClient(login.broker().toString(), login.clientId(),
                        new MemoryPersistence());
                client.setCallback(new org.eclipse.paho.client.mqttv3.MqttCallback() {
                    @Override
                    public void connectionLost(Throwable cause) {
                    }

                    @Override
                    public void messageArrived(String topic, org.eclipse.paho.client.mqttv3.MqttMessage message) {
                        arrived(topic, message);
                    }

                    @Override
                    public void deliveryComplete(org.eclipse.paho.client.mqttv3.IMqttDeliveryToken token) {
                    }
                });
                MqttConnectOptions options = new MqttConnectOptions();
                options.setMqttVersion(MqttConnectOptions.MQTT_VERSION_3_1_1);
                options.setUserName(login.user());
                options.setPassword(login.password().toCharArray());
                options.setCleanSession(!login.keepSession());
                if (!login.willTopic().isEmpty()) {
                    options.setWill(login.willTopic(), "down".getBytes(StandardCharsets.UTF_8), 1, true);
                }
                client.connect(options).waitForCompletion(PATIENCE.toMillis());
                return DONE;
            } catch (MqttException e) {
                return answer(e);
            }
        }

        private void arrived(String topic, org.eclipse.paho.client.mqttv3.MqttMessage message) {
            received.add(new Received(topic, new String(message.getPayload(), StandardCharsets.UTF_8), message.isRetained()));
        }

        @Override
        public String publish(String topic, byte[] payload, boolean retain) {
            try {
                client.publish(topic, payload, 1, retain).waitForCompletion(PATIENCE.toMillis());
                return DONE;
            } catch (MqttException e) {
                return answer(e);
            }
        }

        @Override
        public String subscribe(String filter) {
            try {
                IMqttMessageListener listener = this::arrived;
                org.eclipse.paho.client.mqttv3.IMqttToken token = client.subscribe(filter, 1, listener);
                token.waitForCompletion(PATIENCE.toMillis());
                int granted = token.getGrantedQos()[0];
                return granted > 2 ? "refused " + granted : DONE;
            } catch (MqttException e) {
                return answer(e);
            }
        }

        private static String answer(MqttException e) {
            int code = e.getReasonCode();
            // Below 32 it is the broker's own return code, above it is Paho's.
            return code > 0 && code < 32 ? "refused " + code
                    : code == MqttException.REASON_CODE_CLIENT_TIMEOUT ? "no answer" : DROPPED;
        }

        @Override
        public boolean isConnected() {
            return client.isConnected();
        }

        @Override
        public List<Received> received() {
            return received;
        }

        @Override
        public void breakOff() {
            try {
                client.disconnectForcibly(0, 1000, false);
            } catch (MqttException e) {
                throw new IllegalStateException("probe could not break off", e);
            }
        }

        @Override
        public void close() {
            if (client == null) {
                return;
            }
            try {
                if (client.isConnected()) {
                    leave();
                }
                client.close(true);
            } catch (MqttException e) {
                throw new IllegalStateException("probe could not close", e);
            }
        }

        /** The broker may be ending the connection at this very moment, for what the probe did on it. */
        private void leave() throws MqttException {
            try {
                client.disconnect(0).waitForCompletion(PATIENCE.toMillis());
            } catch (MqttException e) {
                if (e.getReasonCode() != MqttException.REASON_CODE_CLIENT_DISCONNECTING
                        && e.getReasonCode() != MqttException.REASON_CODE_CLIENT_ALREADY_DISCONNECTED) {
                    throw e;
                }
            }
        }
    }

    /** MQTT 5. */
    final class V5 implements MqttProbe {

        private final List<Received> received = new CopyOnWriteArrayList<>();
        private org.eclipse.paho.mqttv5.client.MqttAsyncClient client;

        @Override
        public String connect(Login login) {
            // MQTT 5.0 §3.1.2.11.2: this value never expires.
            return connect(login, login.keepSession() ? 0xFFFFFFFFL : 0L);
        }

        /** With a session that is kept for so many seconds. */
        public String connect(Login login, long sessionExpirySeconds) {
            try {
                client = new org.eclipse.paho.mqttv5.client.MqttAsyncClient(login.broker().toString(), login.clientId(),
                        new org.eclipse.paho.mqttv5.client.persist.MemoryPersistence());
                client.setCallback(new MqttCallback() {
                    @Override
                    public void messageArrived(String topic, MqttMessage message) {
                        received.add(new Received(topic, new String(message.getPayload(), StandardCharsets.UTF_8), message.isRetained()));
                    }

                    @Override
                    public void disconnected(MqttDisconnectResponse response) {
                    }

                    @Override
                    public void mqttErrorOccurred(org.eclipse.paho.mqttv5.common.MqttException exception) {
                    }

                    @Override
                    public void deliveryComplete(IMqttToken token) {
                    }

                    @Override
                    public void connectComplete(boolean reconnect, String serverURI) {
                    }

                    @Override
                    public void authPacketArrived(int reasonCode, MqttProperties properties) {
                    }
                });
                MqttConnectionOptions options = new MqttConnectionOptions();
                options.setUserName(login.user());
                options.setPassword(login.password().getBytes(StandardCharsets.UTF_8));
                options.setCleanStart(!login.keepSession());
                options.setSessionExpiryInterval(sessionExpirySeconds);
                if (!login.willTopic().isEmpty()) {
                    options.setWill(login.willTopic(), new MqttMessage("down".getBytes(StandardCharsets.UTF_8), 1, true, null));
                }
                client.connect(options).waitForCompletion(PATIENCE.toMillis());
                return DONE;
            } catch (org.eclipse.paho.mqttv5.common.MqttException e) {
                return answer(e);
            }
        }

        @Override
        public String publish(String topic, byte[] payload, boolean retain) {
            try {
                IMqttToken token = client.publish(topic, payload, 1, retain);
                token.waitForCompletion(PATIENCE.toMillis());
                return answer(token.getReasonCodes());
            } catch (org.eclipse.paho.mqttv5.common.MqttException e) {
                return answer(e);
            }
        }

        @Override
        public String subscribe(String filter) {
            try {
                IMqttToken token = client.subscribe(new MqttSubscription(filter, 1));
                token.waitForCompletion(PATIENCE.toMillis());
                return answer(token.getReasonCodes());
            } catch (org.eclipse.paho.mqttv5.common.MqttException e) {
                return answer(e);
            }
        }

        private static String answer(int[] codes) {
            int code = codes == null || codes.length == 0 ? 0 : codes[0];
            return code >= 0x80 ? "refused " + code : DONE;
        }

        private static String answer(org.eclipse.paho.mqttv5.common.MqttException e) {
            int code = e.getReasonCode();
            // 128 to 162 are the broker's reason codes (MQTT 5.0 §2.4); Paho's own are elsewhere.
            return code >= 0x80 && code <= 0xA2 ? "refused " + code
                    : code == org.eclipse.paho.mqttv5.client.MqttClientException.REASON_CODE_CLIENT_TIMEOUT ? "no answer" : DROPPED;
        }

        @Override
        public boolean isConnected() {
            return client.isConnected();
        }

        @Override
        public List<Received> received() {
            return received;
        }

        @Override
        public void breakOff() {
            try {
                client.disconnectForcibly(0, 1000, false);
            } catch (org.eclipse.paho.mqttv5.common.MqttException e) {
                throw new IllegalStateException("probe could not break off", e);
            }
        }

        @Override
        public void close() {
            if (client == null) {
                return;
            }
            try {
                if (client.isConnected()) {
                    leave();
                }
                client.close(true);
            } catch (org.eclipse.paho.mqttv5.common.MqttException e) {
                throw new IllegalStateException("probe could not close", e);
            }
        }

        /** The broker may be ending the connection at this very moment, for what the probe did on it. */
        private void leave() throws org.eclipse.paho.mqttv5.common.MqttException {
            try {
                client.disconnect(0).waitForCompletion(PATIENCE.toMillis());
            } catch (org.eclipse.paho.mqttv5.common.MqttException e) {
                if (e.getReasonCode() != MqttClientException.REASON_CODE_CLIENT_DISCONNECTING
                        && e.getReasonCode() != MqttClientException.REASON_CODE_CLIENT_ALREADY_DISCONNECTED) {
                    throw e;
                }
            }
        }
    }
}
