package org.lampkeeper.web.api;

import java.io.IOException;
import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Instant;
import java.util.List;
import java.util.UUID;
import java.util.concurrent.TimeUnit;
import java.util.regex.Pattern;

import jakarta.inject.Inject;

import io.quarkus.test.common.http.TestHTTPResource;
import io.quarkus.test.junit.QuarkusTest;
import org.junit.jupiter.api.Test;

import org.lampkeeper.access.Role;
import org.lampkeeper.testing.EnabledIfTool;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.web.ProblemType;

import static org.assertj.core.api.Assertions.assertThat;

/** What docs/api.md says can be done, as it says it. */
@QuarkusTest
class ApiDocumentTest {

    private static final Path DOCUMENT = Path.of("docs", "api.md");

    @Inject
    MovedClock clock;
    @TestHTTPResource
    URI base;

    @Test
    @EnabledIfTool("curl")
    void everyExampleRuns() throws IOException, InterruptedException {
        clock.stopAt(Instant.parse("2026-11-25T02:45:00Z"));
        Program administrator = Program.as(Role.ADMINISTRATOR);
        long site = ApiContract.id(administrator.post("/api/sites", ApiContract.site("Document " + UUID.randomUUID())));
        long board = ApiContract.id(administrator.post("/api/boards", ApiContract.board(site)));
        List<String> examples = Pattern.compile("```\\n(curl.*?)```", Pattern.DOTALL).matcher(Files.readString(DOCUMENT)).results()
                .map(example -> example.group(1)).toList();

        assertThat(examples).hasSizeGreaterThanOrEqualTo(3);
        for (String example : examples) {
            ProcessBuilder shell = new ProcessBuilder("bash", "-e", "-c", example).redirectErrorStream(true);
            shell.environment().put("LAMP", base.toString().replaceAll("/$", ""));
            shell.environment().put("TOKEN", administrator.token());
            shell.environment().put("SITE", "" + site);
            shell.environment().put("BOARD", "" + board);
            Process running = shell.start();
            String said = new String(running.getInputStream().readAllBytes(), StandardCharsets.UTF_8);

            assertThat(running.waitFor(30, TimeUnit.SECONDS)).isTrue();
            assertThat(running.exitValue()).as(example + said).isZero();
            assertThat(said).as(example).contains("{").doesNotContain("urn:lampkeeper:problem", "HTTP/1.1 4", "HTTP/1.1 5");
        }
    }

    @Test
    void everyProblemIsListed() throws IOException {
        String document = Files.readString(DOCUMENT);

        for (ProblemType type : ProblemType.values()) {
            assertThat(document).contains("| `" + type.uri().toString().substring("urn:lampkeeper:problem:".length()) + "` | " + type.status() + " |");
        }
    }
}
