package org.lampkeeper.testing;

import java.io.File;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Locale;
import java.util.Optional;
import java.util.stream.Stream;

import org.junit.jupiter.api.extension.ConditionEvaluationResult;
import org.junit.jupiter.api.extension.ExecutionCondition;
import org.junit.jupiter.api.extension.ExtensionConfigurationException;
import org.junit.jupiter.api.extension.ExtensionContext;
import org.junit.platform.commons.support.AnnotationSupport;

/** See {@link EnabledIfTool}. */
final class ToolPresent implements ExecutionCondition {

    // Where Debian keeps daemons, whether or not an ordinary user's path says so.
    private static final String DAEMONS = "/usr/sbin";

    @Override
    public ConditionEvaluationResult evaluateExecutionCondition(ExtensionContext context) {
        Optional<EnabledIfTool> wanted = AnnotationSupport.findAnnotation(context.getElement(), EnabledIfTool.class);
        if (wanted.isEmpty()) {
            return ConditionEvaluationResult.enabled("needs no tool");
        }
        Optional<String> missing = Stream.of(wanted.get().value()).filter(program -> find(program).isEmpty()).findFirst();
        if (missing.isEmpty()) {
            return ConditionEvaluationResult.enabled(String.join(", ", wanted.get().value()) + " is there");
        }
        String tool = missing.get();
        if ("true".equals(System.getenv("CI"))) {
            throw new ExtensionConfigurationException(context.getDisplayName() + " needs " + tool + ", which is missing although CI=true;"
                    + " run .ci/install-test-tools");
        }
        System.err.println("skipped: " + context.getDisplayName() + " needs " + tool + "; .ci/install-test-tools installs it");
        return ConditionEvaluationResult.disabled(tool + " is missing");
    }

    /** The program's path, if it is installed; the environment may name another in its place, as {@code CHROMIUM} for {@code chromium}. */
    static Optional<Path> find(String tool) {
        String named = System.getenv(tool.toUpperCase(Locale.ROOT));
        if (named != null) {
            return Optional.of(Path.of(named)).filter(Files::isExecutable);
        }
        String path = System.getenv().getOrDefault("PATH", "") + File.pathSeparator + DAEMONS;
        return Stream.of(path.split(File.pathSeparator)).filter(directory -> !directory.isEmpty())
                .map(directory -> Path.of(directory, tool)).filter(Files::isExecutable).findFirst();
    }
}
