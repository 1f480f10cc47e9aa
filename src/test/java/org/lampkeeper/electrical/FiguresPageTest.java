package org.lampkeeper.electrical;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Set;
import java.util.TreeSet;
import java.util.regex.Pattern;
import java.util.stream.Collectors;
import java.util.stream.Stream;

import org.junit.jupiter.api.Test;

import static org.assertj.core.api.Assertions.assertThat;

/** docs/figures.md says which test holds which row. */
class FiguresPageTest {

    private static final Path PAGE = Path.of("docs/figures.md");
    private static final Path TESTS = Path.of("src/test/java/org/lampkeeper");
    private static final Pattern NAMED = Pattern.compile("`(\\w+Test)\\.(\\w+)`");
    private static final Pattern METHOD = Pattern.compile("^    void (\\w+)\\(", Pattern.MULTILINE);

    @Test
    void eachTestThatThePageNamesExists() throws IOException {
        Set<String> there = new TreeSet<>();
        for (String room : new String[] {"electrical", "register", "watch"}) {
            there.addAll(testsOf(room));
        }

        assertThat(named()).hasSizeGreaterThan(60).isSubsetOf(there);
    }

    @Test
    void eachTestOfTheRoomIsNamedOnThePage() throws IOException {
        assertThat(testsOf("electrical").stream().filter(test -> !test.startsWith("FiguresPageTest."))).isNotEmpty().isSubsetOf(named());
    }

    private static Set<String> named() throws IOException {
        return NAMED.matcher(Files.readString(PAGE)).results().map(found -> found.group(1) + "." + found.group(2)).collect(Collectors.toCollection(TreeSet::new));
    }

    private static Set<String> testsOf(String room) throws IOException {
        Set<String> tests = new TreeSet<>();
        try (Stream<Path> files = Files.list(TESTS.resolve(room))) {
            for (Path file : files.filter(it -> it.getFileName().toString().endsWith("Test.java")).toList()) {
                String type = file.getFileName().toString().replace(".java", "");
                METHOD.matcher(Files.readString(file)).results().forEach(found -> tests.add(type + "." + found.group(1)));
            }
        }
        return tests;
    }
}
