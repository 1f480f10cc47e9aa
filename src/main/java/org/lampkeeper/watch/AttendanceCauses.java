package org.lampkeeper.watch;

import java.io.IOException;
import java.io.InputStream;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.Set;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.inject.Inject;

import com.fasterxml.jackson.databind.DeserializationFeature;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.dataformat.yaml.YAMLFactory;
import io.quarkus.runtime.Startup;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.alarm.AttendanceCause;
import org.lampkeeper.alarm.Scope;
import org.lampkeeper.register.ConfiguredFile;

/** The causes from which an attendance record chooses, read once at start; a file that cannot be right stops the start. */
@Startup
@ApplicationScoped
public class AttendanceCauses {

    private static final String NAME = "attendance-causes.yaml";
    private static final ObjectMapper YAML = new ObjectMapper(new YAMLFactory())
            .enable(DeserializationFeature.FAIL_ON_UNKNOWN_PROPERTIES, DeserializationFeature.FAIL_ON_READING_DUP_TREE_KEY);

    private final List<AttendanceCause> causes;

    @Inject
    AttendanceCauses(AttendanceConfig config) {
        this(config.causes());
    }

    AttendanceCauses(Optional<Path> file) {
        this.causes = ConfiguredFile.of(NAME, "lampkeeper.attendance.causes", file).read(AttendanceCauses::parse);
    }

    /** All of them, in the order of the file. */
    public List<AttendanceCause> all() {
        return causes;
    }

    /** What may be chosen for an alarm about this. */
    public List<AttendanceCause> at(Scope scope) {
        return causes.stream().filter(cause -> cause.at().contains(scope)).toList();
    }

    /** Empty for a word that is not, or no longer, in the list. */
    public Optional<AttendanceCause> find(String word) {
        return causes.stream().filter(cause -> cause.word().equals(word)).findFirst();
    }

    private record Listed(@Nullable List<Item> causes) {
    }

    private record Item(@Nullable String word, @Nullable String text, @Nullable List<String> at, boolean retest, boolean fuse) {
    }

    private static List<AttendanceCause> parse(String name, InputStream content) throws IOException {
        List<Item> items = Optional.ofNullable(YAML.readValue(content, Listed.class)).map(Listed::causes).orElse(List.of());
        if (items.isEmpty()) {
            throw new IllegalStateException(name + ": causes is empty, must list at least one");
        }
        List<AttendanceCause> causes = new ArrayList<>();
        Set<String> words = new HashSet<>();
        for (int i = 0; i < items.size(); i++) {
            AttendanceCause cause = cause(name + ", cause " + (i + 1), items.get(i));
            if (!words.add(cause.word())) {
                throw new IllegalStateException(name + ", cause " + (i + 1) + ": word '" + cause.word() + "' is there twice, must be there once");
            }
            causes.add(cause);
        }
        for (Scope scope : Scope.values()) {
            if (causes.stream().noneMatch(cause -> cause.at().contains(scope))) {
                throw new IllegalStateException(name + ": no cause has at " + scope.name().toLowerCase(Locale.ROOT) + ", must be at least one");
            }
        }
        return List.copyOf(causes);
    }

    private static AttendanceCause cause(String place, Item item) {
        Set<Scope> scopes = new HashSet<>();
        for (String at : Optional.ofNullable(item.at()).orElse(List.of())) {
            scopes.add(switch (at) {
                case "cabinet" -> Scope.CABINET;
                case "site" -> Scope.SITE;
                case "installation" -> Scope.INSTALLATION;
                default -> throw new IllegalStateException(place + ": at '" + at + "', must be cabinet, site or installation");
            });
        }
        try {
            return new AttendanceCause(Optional.ofNullable(item.word()).orElse(""), Optional.ofNullable(item.text()).orElse(""), scopes,
                    item.retest(), item.fuse());
        } catch (IllegalArgumentException e) {
            throw new IllegalStateException(place + ": " + e.getMessage(), e);
        }
    }
}
