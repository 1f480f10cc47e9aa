package org.lampkeeper.web.csv;

import java.util.Arrays;
import java.util.List;
import java.util.Optional;

import org.lampkeeper.access.Right;

/** What a file holds, and its columns in the order in which they are exported (docs/csv.md). */
public enum CsvKind {
    SITES("sites", Right.EDIT_SITE, "name", "address", "zone", "access", "intake", "electricianName?", "electricianPhone?"),
    CABINETS("cabinets", Right.EDIT_PLANT, "code", "site", "name", "place", "lampPlace", "content", "limitsAsked?", "lowestCelsius?",
            "highestCelsius?", "parts?", "boardSite?", "board", "boardPlace?", "boardAccess?", "way", "device", "curve", "ratingAmpere",
            "residualMilliampere?", "cable", "fuseAmpere", "fusedUnitPlace"),
    SENSORS("sensors", Right.EDIT_PLANT, "deviceId", "cabinet", "baseName");

    private final String words;
    private final Right right;
    private final List<String> columns;
    private final List<String> required;

    /** A question mark: a file may come without this column. */
    CsvKind(String words, Right right, String... columns) {
        this.words = words;
        this.right = right;
        this.columns = Arrays.stream(columns).map(name -> name.replace("?", "")).toList();
        this.required = Arrays.stream(columns).filter(name -> !name.endsWith("?")).toList();
    }

    /** As in the name of the file: {@code sites}. */
    public String words() {
        return words;
    }

    /** What it takes to import such a file. */
    public Right right() {
        return right;
    }

    public List<String> columns() {
        return columns;
    }

    List<String> required() {
        return required;
    }

    public static Optional<CsvKind> of(String words) {
        return Arrays.stream(values()).filter(kind -> kind.words.equals(words)).findFirst();
    }
}
