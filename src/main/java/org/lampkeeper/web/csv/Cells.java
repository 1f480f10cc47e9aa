package org.lampkeeper.web.csv;

import java.math.BigDecimal;
import java.time.LocalDate;
import java.time.format.DateTimeParseException;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Collectors;

import org.lampkeeper.register.DatedPart;
import org.lampkeeper.report.CsvText;

/** How values are written into cells and read out of them; what is written comes back the same. */
final class Cells {

    private static final Pattern WHOLE = Pattern.compile("-?\\d{1,9}");
    private static final Pattern DECIMAL = Pattern.compile("-?\\d{1,9}([.,]\\d{1,9})?");
    private static final Pattern PART = Pattern.compile("\\s*(\\S+) ((?:[^;\\\\]|\\\\.)+)(?:;|$)", Pattern.DOTALL);

    private Cells() {
    }

    /** A text that no spreadsheet takes for a formula: with a mark in front where it might. */
    static String harmless(String text) {
        return CsvText.harmless(text);
    }

    /** The text that was meant: without the mark, where {@link #harmless} would have put one. */
    static String meant(String cell) {
        return CsvText.meant(cell);
    }

    /** Empty when it is no whole number of up to nine digits. */
    static Optional<Integer> whole(String cell) {
        String number = cell.strip();
        return WHOLE.matcher(number).matches() ? Optional.of(Integer.parseInt(number)) : Optional.empty();
    }

    /** With a decimal point or comma; empty when it is no number. */
    static Optional<Double> decimal(String cell) {
        String number = cell.strip();
        return DECIMAL.matcher(number).matches() ? Optional.of(Double.parseDouble(number.replace(',', '.'))) : Optional.empty();
    }

    /** The shortest way to write it that comes back the same. */
    static String decimal(double value) {
        return new BigDecimal(Double.toString(value)).stripTrailingZeros().toPlainString();
    }

    /** {@code 2027-03-31 pads; 2028-01-31 battery}; a semicolon or backslash in a name has a backslash in front. */
    static String parts(List<DatedPart> parts) {
        return parts.stream().map(part -> part.goodUntil() + " " + part.name().replace("\\", "\\\\").replace(";", "\\;"))
                .collect(Collectors.joining("; "));
    }

    /** Empty when it cannot be read. */
    static Optional<List<DatedPart>> parts(String cell) {
        List<DatedPart> parts = new ArrayList<>();
        if (cell.isBlank()) {
            return Optional.of(parts);
        }
        Matcher part = PART.matcher(cell);
        int end = 0;
        while (end < cell.length() && part.find(end) && part.start() == end) {
            try {
                parts.add(new DatedPart(part.group(2).replaceAll("\\\\(.)", "$1"), LocalDate.parse(part.group(1))));
            } catch (DateTimeParseException notADate) {
                return Optional.empty();
            }
            end = part.end();
        }
        return end == cell.length() ? Optional.of(List.copyOf(parts)) : Optional.empty();
    }
}
