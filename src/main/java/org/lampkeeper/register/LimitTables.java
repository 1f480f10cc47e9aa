package org.lampkeeper.register;

import java.io.IOException;
import java.io.InputStream;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.inject.Inject;

import com.fasterxml.jackson.core.JsonParser;
import com.fasterxml.jackson.core.type.TypeReference;
import com.fasterxml.jackson.databind.DeserializationFeature;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.dataformat.yaml.YAMLFactory;
import com.fasterxml.jackson.datatype.jdk8.Jdk8Module;
import io.quarkus.runtime.Startup;

import org.lampkeeper.electrical.Limits;

/** The tables of each edition, read once at start; a file that cannot be right stops the start. None of them is preset as the one in force. */
@Startup
@ApplicationScoped
public class LimitTables {

    private static final String NAME = "electrical-limits.yaml";
    private static final ObjectMapper YAML = new ObjectMapper(new YAMLFactory()).registerModule(new Jdk8Module())
            .enable(DeserializationFeature.FAIL_ON_UNKNOWN_PROPERTIES, DeserializationFeature.FAIL_ON_NULL_FOR_PRIMITIVES,
                    DeserializationFeature.FAIL_ON_MISSING_CREATOR_PROPERTIES, DeserializationFeature.FAIL_ON_NULL_CREATOR_PROPERTIES)
            .enable(JsonParser.Feature.STRICT_DUPLICATE_DETECTION);
    private static final TypeReference<Map<String, List<Map<String, Object>>>> FILE = new TypeReference<>() {
    };

    private final Map<String, Limits> byEdition;

    @Inject
    LimitTables() {
        this(ConfiguredFile.of(NAME, "", Optional.empty()));
    }

    LimitTables(ConfiguredFile file) {
        this.byEdition = file.read(LimitTables::parse);
    }

    /** The tables that came with the program. */
    public static LimitTables own() {
        return new LimitTables(ConfiguredFile.own(NAME));
    }

    /** As they are named, in the order of the file. */
    public List<String> editions() {
        return List.copyOf(byEdition.keySet());
    }

    public Optional<Limits> find(String edition) {
        return Optional.ofNullable(byEdition.get(edition));
    }

    private static Map<String, Limits> parse(String name, InputStream content) throws IOException {
        Map<String, Map<String, Object>> entries = new LinkedHashMap<>();
        Map<String, Limits> limits = new LinkedHashMap<>();
        for (Map<String, Object> listed : Optional.ofNullable(YAML.readValue(content, FILE)).map(file -> file.get("editions")).orElse(List.of())) {
            Map<String, Object> entry = new LinkedHashMap<>(listed);
            String edition = String.valueOf(entry.get("edition"));
            Object like = entry.remove("like");
            if (like != null) {
                Map<String, Object> base = entries.get(like.toString());
                if (base == null) {
                    throw new IllegalStateException(name + ", edition " + edition + ": like '" + like + "', must be an edition that stands before it");
                }
                Map<String, Object> merged = new LinkedHashMap<>(base);
                merged.putAll(entry);
                entry = merged;
            }
            if (entries.put(edition, entry) != null) {
                throw new IllegalStateException(name + ": edition " + edition + " is there twice, must be there once");
            }
            limits.put(edition, limits(name + ", edition " + edition, entry));
        }
        if (limits.isEmpty()) {
            throw new IllegalStateException(name + ": editions is empty, must list at least one");
        }
        return limits;
    }

    private static Limits limits(String place, Map<String, Object> entry) {
        List<String> wrong = new ArrayList<>();
        notBelowZero("", entry, wrong);
        if (!wrong.isEmpty()) {
            throw new IllegalStateException(place + ": " + String.join("; ", wrong));
        }
        try {
            return YAML.convertValue(entry, Limits.class);
        } catch (IllegalArgumentException e) {
            throw new IllegalStateException(place + ": " + e.getMessage(), e);
        }
    }

    private static void notBelowZero(String path, Object value, List<String> wrong) {
        if (value instanceof Map<?, ?> map) {
            map.forEach((key, inner) -> notBelowZero(path.isEmpty() ? String.valueOf(key) : path + "." + key, inner, wrong));
        } else if (value instanceof List<?> list) {
            for (int i = 0; i < list.size(); i++) {
                notBelowZero(path + "[" + (i + 1) + "]", list.get(i), wrong);
            }
        } else if (value instanceof Number number && !(number.doubleValue() >= 0 && Double.isFinite(number.doubleValue()))) {
            wrong.add(path + " is " + number + ", must be 0 or more");
        }
    }
}
