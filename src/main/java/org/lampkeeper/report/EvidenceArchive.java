package org.lampkeeper.report;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.attribute.FileTime;
import java.time.Instant;
import java.util.List;
import java.util.Map;
import java.util.SortedMap;
import java.util.TreeMap;
import java.util.zip.ZipEntry;
import java.util.zip.ZipOutputStream;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.databind.ObjectWriter;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import com.fasterxml.jackson.dataformat.csv.CsvMapper;
import com.fasterxml.jackson.dataformat.csv.CsvSchema;

import org.lampkeeper.journal.Head;
import org.lampkeeper.journal.JournalExtract.Line;
import org.lampkeeper.journal.JournalExtract.Told;
import org.lampkeeper.register.Sha256;
import org.lampkeeper.report.Evidence.Table;

/**
 * Evidence as an archive that can be checked without us: docs/evidence.md says what is in it, docs/check_evidence.py checks it. The files are
 * listed with their SHA-256 in contents.json, whose own stands in the journal.
 */
public final class EvidenceArchive {

    static final String FORMAT = "lampkeeper-evidence-1";

    private static final ObjectMapper JSON = new ObjectMapper();
    private static final ObjectWriter PRETTY = JSON.writerWithDefaultPrettyPrinter();
    private static final CsvMapper CSV = new CsvMapper();

    private static final String READ_ME = """
            What is known about one cabinet in a stretch of time, made by Lampkeeper.

            evidence.pdf       to be read
            contents.json      what this is about, and each file with its SHA-256
            journal.jsonl      the journal between two of its heads, an entry a line
            made.json          the entry that was written when this was made; it has the SHA-256 of contents.json in it
            *.csv              the same as in evidence.pdf, for a program; a text that a spreadsheet
                               would run as a formula has a quote mark in front
            people.json        whom the references stand for, except those who were erased
            handover.json      the hand-over record as it was signed; its SHA-256 is its fingerprint
            photos/            named by their SHA-256

            To check it, take the program check_evidence.py from the documentation of Lampkeeper, not from whoever gave you this, and run

                python3 check_evidence.py evidence.zip 4711:8c1f... mail.eml

            with the heads, or the mails, that you kept: each mail of Lampkeeper ends with one. Without any, a chain that was written anew
            from the start cannot be told from the first.

            This is what was observed, decided and told. It is no certificate, and does not say that an installation is safe.
            """;

    private final SortedMap<String, byte[]> files = new TreeMap<>();
    private final byte[] contents;
    private final Instant madeAt;

    /** @param madeBy the reference of whoever asked for it */
    public EvidenceArchive(Evidence evidence, byte[] paper, String madeBy, Instant madeAt) {
        this.madeAt = madeAt;
        files.put("README.txt", READ_ME.getBytes(StandardCharsets.UTF_8));
        files.put("evidence.pdf", paper);
        files.put("journal.jsonl", evidence.chain().lines().getBytes(StandardCharsets.UTF_8));
        files.put("people.json", pretty(new TreeMap<>(evidence.names())));
        evidence.tables().forEach((part, table) -> files.put(part.file() + ".csv", csv(table)));
        evidence.photos().forEach((hash, picture) -> files.put("photos/" + hash + ".jpg", picture));
        evidence.handover().ifPresent(signed -> files.put("handover.json", signed.document().getBytes(StandardCharsets.UTF_8)));
        this.contents = pretty(contents(evidence, madeBy));
    }

    /** SHA-256 of contents.json, and so of everything but made.json; to be journalled. */
    public String fingerprint() {
        return Sha256.hex(contents);
    }

    /**
     * @param made     the journal's entry that has the fingerprint in it
     * @param previous the head before it
     */
    public byte[] zip(Line made, Head previous) {
        ByteArrayOutputStream bytes = new ByteArrayOutputStream();
        try (ZipOutputStream zip = new ZipOutputStream(bytes)) {
            add(zip, "contents.json", contents);
            add(zip, "made.json", pretty(made(made, previous)));
            for (Map.Entry<String, byte[]> file : files.entrySet()) {
                add(zip, file.getKey(), file.getValue());
            }
        } catch (IOException inMemory) {
            throw new UncheckedIOException("writing an archive into memory failed", inMemory);
        }
        return bytes.toByteArray();
    }

    private void add(ZipOutputStream zip, String name, byte[] content) throws IOException {
        ZipEntry entry = new ZipEntry(name);
        entry.setLastModifiedTime(FileTime.from(madeAt));
        zip.putNextEntry(entry);
        zip.write(content);
        zip.closeEntry();
    }

    private ObjectNode contents(Evidence evidence, String madeBy) {
        ObjectNode node = JSON.createObjectNode().put("format", FORMAT);
        node.putObject("cabinet").put("id", evidence.cabinet().id()).put("code", evidence.cabinet().code()).put("name", evidence.cabinet().name());
        node.putObject("site").put("id", evidence.cabinet().siteId()).put("name", evidence.cabinet().site()).put("zone", evidence.cabinet().zone().getId());
        node.put("from", evidence.span().from().toString()).put("until", evidence.span().until().toString());
        node.put("madeAt", madeAt.toString()).put("madeBy", madeBy);
        ObjectNode journal = node.putObject("journal");
        head(journal.putObject("from"), evidence.chain().from());
        head(journal.putObject("until"), evidence.chain().until());
        evidence.chain().before().ifPresent(told -> told(journal.putObject("fromLeftWith"), told));
        evidence.chain().after().ifPresent(told -> told(journal.putObject("untilLeftWith"), told));
        ArrayNode list = node.putArray("files");
        files.forEach((name, bytes) -> list.addObject().put("name", name).put("bytes", bytes.length).put("sha256", Sha256.hex(bytes)));
        return node;
    }

    private static ObjectNode made(Line made, Head previous) {
        ObjectNode node = JSON.createObjectNode();
        head(node.putObject("previous"), previous);
        try {
            node.set("entry", JSON.readTree(EvidenceBook.written(made)));
        } catch (JsonProcessingException ours) {
            throw new IllegalStateException("a line of the journal that was just written cannot be read", ours);
        }
        return node;
    }

    private static void head(ObjectNode node, Head head) {
        node.put("number", head.number()).put("hash", head.hash());
    }

    private static void told(ObjectNode node, Told told) {
        node.put("at", told.at().toString()).put("messageId", told.message());
    }

    /** As with other files that are only read: no cell is taken for a formula. */
    static byte[] csv(Table table) {
        CsvSchema.Builder schema = CsvSchema.builder();
        table.columns().forEach(schema::addColumn);
        try {
            List<String[]> rows = table.rows().stream().map(row -> row.stream().map(CsvText::cell).toArray(String[]::new)).toList();
            return CSV.writer(schema.build().withHeader()).writeValueAsBytes(rows);
        } catch (JsonProcessingException inMemory) {
            throw new IllegalStateException("a table could not be written as CSV", inMemory);
        }
    }

    private static byte[] pretty(Object value) {
        try {
            return (PRETTY.writeValueAsString(value) + "\n").getBytes(StandardCharsets.UTF_8);
        } catch (JsonProcessingException inMemory) {
            throw new IllegalStateException("JSON could not be written", inMemory);
        }
    }
}
