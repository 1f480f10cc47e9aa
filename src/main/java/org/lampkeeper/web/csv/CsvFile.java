package org.lampkeeper.web.csv;

import java.io.IOException;
import java.io.StringWriter;
import java.io.UncheckedIOException;
import java.nio.ByteBuffer;
import java.nio.charset.CharacterCodingException;
import java.nio.charset.CodingErrorAction;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.MappingIterator;
import com.fasterxml.jackson.databind.SequenceWriter;
import com.fasterxml.jackson.dataformat.csv.CsvGenerator;
import com.fasterxml.jackson.dataformat.csv.CsvMapper;
import com.fasterxml.jackson.dataformat.csv.CsvParser;
import com.fasterxml.jackson.dataformat.csv.CsvSchema;

import org.lampkeeper.report.CsvText;

/** Reads and writes files as RFC 4180 has them: UTF-8 with or without a byte order mark, comma or semicolon. */
public final class CsvFile {

    /** Ours: 10,000 rows of the widest kind fit with room to spare. */
    public static final int MOST_BYTES = 5 * 1024 * 1024;
    /** Ours: the largest installation that we plan for has as many cabinets. */
    public static final int MOST_ROWS = 10_000;
    // Ours: wider than the widest column, so that the register's own rule names the limit that counts.
    private static final int MOST_IN_A_CELL = 2000;
    private static final int MOST_WRONG = 1000;

    /** At the beginning of a file: by it a spreadsheet knows UTF-8, and whoever reads it with a program is used to it. */
    public static final String BYTE_ORDER_MARK = "\uFEFF";
    private static final CsvMapper CSV = CsvMapper.csvBuilder().enable(CsvParser.Feature.WRAP_AS_ARRAY).build();

    private CsvFile() {
    }

    /** One row; a column that the file does not have is absent, an empty cell is empty. */
    record Row(int number, Map<String, String> cells) {

        Optional<String> cell(String column) {
            return Optional.ofNullable(cells.get(column));
        }

        String text(String column) {
            return cells.getOrDefault(column, "");
        }
    }

    /** What was read. {@code wrong}: about the file as such; rows that could be read are there all the same. */
    record Table(List<Row> rows, List<Wrong> wrong) {
    }

    /** The text of a file; empty when it is not UTF-8. */
    public static Optional<String> text(byte[] file) {
        try {
            String text = StandardCharsets.UTF_8.newDecoder().onMalformedInput(CodingErrorAction.REPORT)
                    .onUnmappableCharacter(CodingErrorAction.REPORT).decode(ByteBuffer.wrap(file)).toString();
            // Neither database keeps this one in a text.
            return text.indexOf('\0') >= 0 ? Optional.empty() : Optional.of(text.startsWith(BYTE_ORDER_MARK) ? text.substring(1) : text);
        } catch (CharacterCodingException notUtf8) {
            return Optional.empty();
        }
    }

    static Table read(CsvKind kind, String text) {
        List<Wrong> wrong = new ArrayList<>();
        List<Row> rows = new ArrayList<>();
        CsvSchema schema = CsvSchema.emptySchema().withColumnSeparator(separator(text));
        int number = 0;
        try (MappingIterator<String[]> lines = CSV.readerFor(String[].class).with(schema).readValues(text)) {
            List<String> header = List.of();
            while (lines.hasNextValue()) {
                String[] line = lines.nextValue();
                number++;
                if (number == 1) {
                    header = header(kind, line, wrong);
                    if (!wrong.isEmpty()) {
                        return new Table(List.of(), wrong);
                    }
                } else if (!isBlank(line)) {
                    if (rows.size() == MOST_ROWS) {
                        wrong.add(new Wrong(number, "", "is one row too many: a file may have " + MOST_ROWS + " rows, split it"));
                        return new Table(rows, wrong);
                    }
                    row(header, number, line, wrong).ifPresent(rows::add);
                }
                if (wrong.size() >= MOST_WRONG) {
                    break;
                }
            }
        } catch (JsonProcessingException broken) {
            wrong.add(new Wrong(number + 1, "", "cannot be read: " + broken.getOriginalMessage()
                    + ". A quote inside a quoted cell is written twice"));
        } catch (IOException | RuntimeException e) {
            // A text in memory does not fail to be read; what is left is one that the library cannot take apart.
            wrong.add(new Wrong(number + 1, "", "cannot be read as CSV: " + e.getMessage()));
        }
        if (number == 0) {
            wrong.add(new Wrong(0, "", "The file is empty; its first row must name the columns: " + String.join(", ", kind.columns())));
        }
        return new Table(rows, wrong);
    }

    /** A whole file. {@code rows}: each with a cell for every column. */
    public static String write(CsvKind kind, List<List<String>> rows, char separator) {
        return write(kind.columns(), rows, separator);
    }

    /** A file that is only read: no cell of it is taken for a formula, and a figure stays one. Without a byte order mark. */
    public static String ofTexts(List<String> header, List<List<String>> rows, char separator) {
        return write(header, rows.stream().map(row -> row.stream().map(CsvText::cell).toList()).toList(), separator);
    }

    static String write(List<String> header, List<List<String>> rows, char separator) {
        CsvSchema schema = CsvSchema.emptySchema().withColumnSeparator(separator).withLineSeparator("\r\n");
        StringWriter file = new StringWriter();
        try (SequenceWriter lines = CSV.writer(schema).with(CsvGenerator.Feature.STRICT_CHECK_FOR_QUOTING).writeValues(file)) {
            lines.write(header.toArray(String[]::new));
            for (List<String> row : rows) {
                lines.write(row.toArray(String[]::new));
            }
        } catch (IOException e) {
            throw new UncheckedIOException("a file that is in memory could not be written", e);
        }
        return file.toString();
    }

    /** Whichever of the two stands more often in the first row, outside quotes. */
    private static char separator(String text) {
        int commas = 0;
        int semicolons = 0;
        boolean isQuoted = false;
        for (int i = 0; i < text.length(); i++) {
            char at = text.charAt(i);
            if (at == '"') {
                isQuoted = !isQuoted;
            } else if (!isQuoted && (at == '\n' || at == '\r')) {
                break;
            } else if (!isQuoted && at == ',') {
                commas++;
            } else if (!isQuoted && at == ';') {
                semicolons++;
            }
        }
        return semicolons > commas ? ';' : ',';
    }

    private static List<String> header(CsvKind kind, String[] line, List<Wrong> wrong) {
        List<String> header = new ArrayList<>();
        for (String cell : line) {
            String name = cell.strip();
            Optional<String> column = kind.columns().stream().filter(known -> known.equalsIgnoreCase(name)).findFirst();
            if (column.isEmpty()) {
                wrong.add(new Wrong(1, shortened(name), "is no column of this kind of file; columns are " + String.join(", ",
                        kind.columns())));
            } else if (header.contains(column.get())) {
                wrong.add(new Wrong(1, column.get(), "is there twice, must be there once"));
            }
            header.add(column.orElse(""));
        }
        kind.required().stream().filter(name -> !header.contains(name))
                .forEach(name -> wrong.add(new Wrong(1, name, "is missing: the first row must name this column")));
        return header;
    }

    private static Optional<Row> row(List<String> header, int number, String[] line, List<Wrong> wrong) {
        if (line.length > header.size()) {
            wrong.add(new Wrong(number, "", "has " + line.length + " cells, the first row names " + header.size()
                    + " columns: put a cell that holds the separator into quotes"));
            return Optional.empty();
        }
        Map<String, String> cells = new LinkedHashMap<>();
        for (int i = 0; i < header.size(); i++) {
            String cell = i < line.length ? line[i] : "";
            if (cell.length() > MOST_IN_A_CELL) {
                wrong.add(new Wrong(number, header.get(i), "has " + cell.length() + " characters, must have at most " + MOST_IN_A_CELL));
                return Optional.empty();
            }
            cells.put(header.get(i), Cells.meant(cell));
        }
        return Optional.of(new Row(number, cells));
    }

    private static boolean isBlank(String[] line) {
        for (String cell : line) {
            if (!cell.isBlank()) {
                return false;
            }
        }
        return true;
    }

    static String shortened(String text) {
        String oneLine = text.replaceAll("\\p{Cntrl}", " ");
        return oneLine.length() > 60 ? oneLine.substring(0, 59) + "…" : oneLine;
    }
}
