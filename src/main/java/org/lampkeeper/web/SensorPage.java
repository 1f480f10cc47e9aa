package org.lampkeeper.web;

import java.net.URI;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;

import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.PairingCode;
import org.lampkeeper.register.RegisteredSensor;
import org.lampkeeper.register.SensorKey;
import org.lampkeeper.telemetry.BrokerConfig;
import org.lampkeeper.telemetry.EmbeddedBroker;

/** What a sensor needs to know to be heard: where the broker is, as whom to log in, and what to say there. */
@ApplicationScoped
class SensorPage {

    private static final MediaType HTML = MediaType.TEXT_HTML_TYPE.withCharset("UTF-8");

    // Ours: long enough to see the lamp lit, short enough that a test which is not repeated is noticed soon.
    private static final int NEXT_WITHIN_SECONDS = 900;

    private final FormPage pages;
    private final BrokerConfig broker;
    private final EmbeddedBroker embedded;

    SensorPage(FormPage pages, BrokerConfig broker, EmbeddedBroker embedded) {
        this.pages = pages;
        this.broker = broker;
        this.embedded = embedded;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance secret(SecretView view);

        static native TemplateInstance sensor(SensorView view);
    }

    /**
     * @param secret  shown this one time
     * @param command publishes a report as this sensor, at the broker that is configured now
     */
    record SecretView(Frame frame, String headline, String intro, String secret, String user, String topic, String broker, String command,
            String cabinet, String next) {
    }

    record SensorView(Frame frame, String headline, String deviceId, String code, String baseName, String topic, String broker, String renew, String retire,
            String cabinet, String cabinetName) {
    }

    Response secretOnce(CabinetSheet cabinet, RegisteredSensor sensor, boolean isRenewed) {
        String device = sensor.key().deviceId();
        String headline = isRenewed ? "The new secret of " + device + " is shown this once." : device + " watches " + cabinet.name()
                + " from now on; its secret is shown this once.";
        return answer(Templates.secret(new SecretView(pages.frame("The secret of " + device, "supply"), headline,
                isRenewed ? "The old one is refused from now on, and whoever was connected with it has been cut off."
                        : "Until its first report nobody knows whether " + cabinet.name() + " has supply.",
                sensor.secret(), device, topic(device), address().toString(), command(sensor), "/cabinets/" + cabinet.cabinetId(), cabinet.name())));
    }

    Response inUse(CabinetSheet cabinet, SensorKey sensor) {
        return answer(Templates.sensor(new SensorView(pages.frame("The sensor of " + cabinet.name(), "supply"),
                sensor.deviceId() + " watches " + cabinet.name() + ".", sensor.deviceId(), PairingCode.written(PairingCode.of(sensor.deviceId())), sensor.baseName(), topic(sensor.deviceId()),
                address().toString(), "/sensors/" + sensor.deviceId() + "/secret", "/sensors/" + sensor.deviceId() + "/retire",
                "/cabinets/" + cabinet.cabinetId(), cabinet.name())));
    }

    /** Device id, base name and secret hold nothing that a shell would take for anything else: the register refuses it. */
    private String command(RegisteredSensor sensor) {
        URI address = address();
        boolean isTls = address.getScheme().equals("ssl");
        int port = address.getPort() >= 0 ? address.getPort() : isTls ? 8883 : 1883;
        String tls = isTls ? broker.caFile().map(file -> " --cafile '" + file + "'").orElse(" --tls-use-os-certs") : "";
        // Without a time it is said of the moment in which it is heard, so the same line may be run again, and turned to "false" and back.
        String payload = "[{\"bn\":\"" + sensor.key().baseName() + "\",\"n\":\"supply\",\"vb\":true,\"ut\":" + NEXT_WITHIN_SECONDS + "}]";
        return "mosquitto_pub -h " + address.getHost() + " -p " + port + tls + " -q 1 -i " + sensor.key().deviceId() + " -u "
                + sensor.key().deviceId() + " -P " + sensor.secret() + " -t " + topic(sensor.key().deviceId()) + " -m '" + payload + "'";
    }

    private URI address() {
        return embedded.uri();
    }

    private static String topic(String deviceId) {
        return "lampkeeper/v1/" + deviceId + "/report";
    }

    private static Response answer(TemplateInstance page) {
        return Response.ok(page.render()).type(HTML).build();
    }
}
