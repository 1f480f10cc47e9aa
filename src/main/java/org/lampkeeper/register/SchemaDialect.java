package org.lampkeeper.register;

import java.util.HashMap;
import java.util.Map;

import jakarta.enterprise.context.ApplicationScoped;

import io.quarkus.flyway.FlywayConfigurationCustomizer;
import org.eclipse.microprofile.config.inject.ConfigProperty;
import org.flywaydb.core.api.configuration.FluentConfiguration;

/** The few words in which the two databases differ inside a migration, so that there is one set of migrations. */
@ApplicationScoped
public class SchemaDialect implements FlywayConfigurationCustomizer {

    private final String url;

    SchemaDialect(@ConfigProperty(name = "quarkus.datasource.jdbc.url") String url) {
        this.url = url;
    }

    @Override
    public void customize(FluentConfiguration configuration) {
        configuration.placeholders(placeholdersFor(url));
    }

    /** For what migrates without the application: a test, or a tool. */
    public static Map<String, String> placeholdersFor(String url) {
        boolean postgresql = AnyDatabaseDriver.isPostgresql(url);
        Map<String, String> words = new HashMap<>();
        words.put("stored", postgresql ? "STORED" : "");
        // Room for a second version of each row on its page, so that a steady report's update stays heap-only.
        words.put("room_on_page", postgresql ? "WITH (fillfactor = 50)" : "");
        return words;
    }
}
