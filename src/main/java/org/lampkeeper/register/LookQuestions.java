package org.lampkeeper.register;

import java.io.IOException;
import java.io.InputStream;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.stream.Collectors;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.inject.Inject;

import com.fasterxml.jackson.databind.DeserializationFeature;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.dataformat.yaml.YAMLFactory;
import io.quarkus.runtime.Startup;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.check.CheckKind;

/** What is asked at a look, by what the cabinet holds; read once at start, and a file that cannot be right stops the start. */
@Startup
@ApplicationScoped
public class LookQuestions {

    private static final String NAME = "look-questions.yaml";
    private static final String ANY = "any";
    /** Ours: more than anybody reads in the rain, and what is ticked must fit into the note beside it. */
    private static final int LONGEST = 120;
    private static final int MOST = 8;
    private static final ObjectMapper YAML = new ObjectMapper(new YAMLFactory())
            .enable(DeserializationFeature.FAIL_ON_UNKNOWN_PROPERTIES, DeserializationFeature.FAIL_ON_READING_DUP_TREE_KEY);

    private final List<Asked> all;

    @Inject
    LookQuestions(LookConfig config) {
        this(config.questions());
    }

    LookQuestions(Optional<Path> file) {
        all = ConfiguredFile.of(NAME, "lampkeeper.look.questions", file).read(LookQuestions::parse);
    }

    private record Asked(String content, CheckKind at, List<String> ask) {
    }

    private record Listed(@Nullable List<Item> looks) {
    }

    private record Item(@Nullable String content, @Nullable String at, @Nullable List<String> ask) {
    }

    /** First what is asked of any cabinet, then what is asked of this content; both as the register says it, in capitals or not. */
    public List<String> at(CheckKind kind, String content) {
        List<String> asked = new ArrayList<>();
        for (String of : List.of(ANY, content)) {
            all.stream().filter(each -> each.at() == kind && each.content().equalsIgnoreCase(of.strip())).forEach(each -> asked.addAll(each.ask()));
        }
        return asked;
    }

    private static List<Asked> parse(String file, InputStream content) throws IOException {
        List<Item> items = Optional.ofNullable(YAML.readValue(content, Listed.class)).map(Listed::looks).orElse(List.of());
        List<Asked> asked = new ArrayList<>();
        for (int i = 0; i < items.size(); i++) {
            asked.add(asked(file + ", look " + (i + 1), items.get(i)));
        }
        return List.copyOf(asked);
    }

    private static Asked asked(String place, Item item) {
        String content = Optional.ofNullable(item.content()).map(String::strip).orElse("");
        List<String> ask = Optional.ofNullable(item.ask()).orElse(List.of());
        if (content.isEmpty()) {
            throw new IllegalStateException(place + ": content is empty, must be what a cabinet holds, or " + ANY);
        }
        if (ask.isEmpty() || ask.size() > MOST) {
            throw new IllegalStateException(place + ": ask has " + ask.size() + " questions, must have 1 to " + MOST);
        }
        for (String question : ask) {
            if (question == null || question.isBlank() || question.length() > LONGEST) {
                throw new IllegalStateException(place + ": question '" + question + "', must have 1 to " + LONGEST + " characters");
            }
        }
        return new Asked(content, kind(place, Optional.ofNullable(item.at()).orElse("")), List.copyOf(ask));
    }

    private static CheckKind kind(String place, String at) {
        return Arrays.stream(CheckKind.values()).filter(kind -> word(kind).equals(at)).findFirst().orElseThrow(() -> new IllegalStateException(place
                + ": at '" + at + "', must be one of " + Arrays.stream(CheckKind.values()).map(LookQuestions::word).collect(Collectors.joining(", "))));
    }

    private static String word(CheckKind kind) {
        return kind.name().toLowerCase(Locale.ROOT).replace('_', '-');
    }
}
