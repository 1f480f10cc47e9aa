package org.lampkeeper.journal;

import java.io.OutputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.io.TempDir;
import org.postgresql.PGConnection;

import org.lampkeeper.testing.BothDatabases;
import org.lampkeeper.testing.TestDatabase;

import static org.assertj.core.api.Assertions.assertThat;
import static org.junit.jupiter.api.Assumptions.assumeTrue;
import static org.lampkeeper.journal.JournalFixture.NOON;

/** Runs the program of docs/journal.md on an export made with the statements of docs/journal.md. */
class DocumentedVerifierTest {

    private static final Path DOCUMENT = Path.of("docs", "journal.md");

    @TempDir
    Path folder;

    @BeforeEach
    void pythonIsThere() throws Exception {
        assumeTrue(run(List.of("sh", "-c", "command -v python3")).exit() == 0, "python3 is not installed");
    }

    @BothDatabases
    void strangersProgramFindsTheJournalIntact(TestDatabase database) throws Exception {
        JournalFixture journal = journal(database);

        Answer answer = verify(journal, keptAs(journal.headAt(3)));

        assertThat(answer).isEqualTo(new Answer(0, "intact: 6 " + journal.head().hash()));
    }

    @BothDatabases
    void strangersProgramNoticesWhatOursNotices(TestDatabase database) throws Exception {
        JournalFixture edited = journal(database);
        edited.run("UPDATE journal_entry SET body = '{}' WHERE seal_number = 2");
        assertThat(verify(edited)).isEqualTo(new Answer(1, "entry 2 was changed"));

        JournalFixture gap = journal(database);
        gap.run("DELETE FROM journal_entry WHERE seal_number = 4");
        assertThat(verify(gap)).isEqualTo(new Answer(1, "entry 4 is missing"));

        JournalFixture cut = journal(database);
        String kept = keptAs(cut.head());
        cut.run("DELETE FROM journal_entry WHERE seal_number > 4");
        assertThat(verify(cut, kept)).isEqualTo(new Answer(1, "the chain ends at 4, but a kept head is 6"));

        JournalFixture rebuilt = journal(database);
        String old = keptAs(rebuilt.headAt(5));
        rebuilt.run("UPDATE journal_entry SET body = '{}' WHERE seal_number = 2");
        rebuilt.rebuildChain();
        assertThat(verify(rebuilt, old).output()).startsWith("entry 5: the chain was written anew");
    }

    private static JournalFixture journal(TestDatabase database) {
        JournalFixture journal = JournalFixture.sealed(database, 5);
        journal.append(Entry.of(NOON.plusNanos(123_456_789), "note-written").alarm(0).with("text", "a \"quoted\", comma\nand line; café"));
        journal.seal();
        return journal;
    }

    private static String keptAs(Head head) {
        return head.number() + ":" + head.hash();
    }

    private Answer verify(JournalFixture journal, String... kept) throws Exception {
        Path csv = folder.resolve("journal.csv");
        if (journal.database.isPostgresql()) {
            String copy = documented("\\\\copy (\\(.*\\)) TO 'journal.csv' CSV");
            try (var connection = journal.database.connect(); OutputStream file = Files.newOutputStream(csv)) {
                connection.unwrap(PGConnection.class).getCopyAPI().copyOut("COPY " + copy + " TO STDOUT CSV", file);
            }
        } else {
            journal.read(documented("(CALL CSVWRITE\\(.*\\));").replace("journal.csv", csv.toString()));
        }
        Path program = folder.resolve("verify.py");
        Files.writeString(program, documented("(?s)```python\n(.*?)```"));
        List<String> command = new ArrayList<>(List.of("python3", program.toString(), csv.toString()));
        command.addAll(List.of(kept));
        return run(command);
    }

    private static String documented(String pattern) throws Exception {
        Matcher found = Pattern.compile(pattern).matcher(Files.readString(DOCUMENT));
        assertThat(found.find()).as(pattern).isTrue();
        return found.group(1);
    }

    record Answer(int exit, String output) {
    }

    private static Answer run(List<String> command) throws Exception {
        Process process = new ProcessBuilder(command).redirectErrorStream(true).start();
        String output = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8).strip();
        return new Answer(process.waitFor(), output);
    }
}
