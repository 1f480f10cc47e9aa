package org.lampkeeper.message;

import java.util.HashMap;
import java.util.Map;

import io.smallrye.config.PropertiesConfigSource;
import io.smallrye.config.SmallRyeConfigBuilder;

/** Settings as an operator writes them, without their common beginning: {@code voice.body}. */
final class GatewayFixture {

    private GatewayFixture() {
    }

    static GatewayConfig config(Map<String, String> settings) {
        Map<String, String> named = new HashMap<>();
        settings.forEach((name, value) -> named.put("lampkeeper.gateway." + name, value));
        return new SmallRyeConfigBuilder().addDiscoveredConverters().withMapping(GatewayConfig.class)
                .withSources(new PropertiesConfigSource(named, "as the operator wrote them", 100)).build().getConfigMapping(GatewayConfig.class);
    }
}
