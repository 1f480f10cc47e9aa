package org.lampkeeper.report;

import java.util.regex.Pattern;

/** Texts in the cells of CSV files, such that no spreadsheet takes one for a formula and runs it. Pure. */
public final class CsvText {

    // What makes a spreadsheet run a cell (OWASP, "CSV injection"), also in full width; and the mark itself, so that it can be told apart.
    private static final String RISKY = "=+-@\t\r\n|%\uFF1D\uFF0B\uFF0D\uFF20'";
    private static final char MARK = '\'';

    private static final Pattern FIGURE = Pattern.compile("-\\d{1,18}(\\.\\d{1,18})?");

    private CsvText() {
    }

    /** A text that no spreadsheet takes for a formula: with a mark in front where it might. */
    public static String harmless(String text) {
        return isRisky(text) ? MARK + text : text;
    }

    /** The same for a cell that may hold a figure: "-3.5" begins like a formula and is none, and a program reads it as a number. */
    public static String cell(String text) {
        return FIGURE.matcher(text).matches() ? text : harmless(text);
    }

    /** The text that was meant: without the mark, where {@link #harmless} would have put one. */
    public static String meant(String cell) {
        return !cell.isEmpty() && cell.charAt(0) == MARK && isRisky(cell.substring(1)) ? cell.substring(1) : cell;
    }

    private static boolean isRisky(String text) {
        // A spreadsheet may drop spaces in front before it looks.
        String shown = text.replaceFirst("^[ \\u00a0]+", "");
        return !shown.isEmpty() && RISKY.indexOf(shown.charAt(0)) >= 0;
    }
}
