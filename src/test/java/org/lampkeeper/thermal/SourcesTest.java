package org.lampkeeper.thermal;

import java.io.IOException;
import java.lang.reflect.Method;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

import org.junit.jupiter.api.Test;

import static org.assertj.core.api.Assertions.assertThat;

/** The table of figures in docs/thermal.md names for each of them the test that holds it: a test of that name has to be there. */
class SourcesTest {

    private static final Path PAGE = Path.of("docs", "thermal.md");
    private static final String HEADING = "## What it is held against";
    /** A class below org.lampkeeper, with a method of it or without; or a method of the class that was named last. */
    private static final Pattern NAME = Pattern.compile("`(?:((?:[a-z]+\\.)+[A-Z]\\w+)(?:\\.([a-z]\\w+))?|([a-z]\\w+))`");

    @Test
    void everyFigureIsHeldByATestThatIsThere() throws IOException, ClassNotFoundException {
        String page = Files.readString(PAGE);
        List<String> rows = page.substring(page.indexOf(HEADING)).lines().filter(line -> line.startsWith("|")).skip(2).toList();
        assertThat(rows).hasSizeGreaterThan(15);
        for (String row : rows) {
            List<String> missing = new ArrayList<>();
            Class<?> named = null;
            Matcher names = NAME.matcher(row.substring(row.substring(0, row.length() - 1).lastIndexOf('|')));
            while (names.find()) {
                if (names.group(1) != null) {
                    named = Class.forName("org.lampkeeper." + names.group(1), false, SourcesTest.class.getClassLoader());
                }
                String method = names.group(2) == null ? names.group(3) : names.group(2);
                assertThat(named).as("no class before the method in %s", row).isNotNull();
                if (method != null && Arrays.stream(named.getDeclaredMethods()).map(Method::getName).noneMatch(method::equals)) {
                    missing.add(named.getName() + "." + method);
                }
            }
            assertThat(named).as("no test in %s", row).isNotNull();
            assertThat(missing).as(row).isEmpty();
        }
    }
}
