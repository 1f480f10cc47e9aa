package org.lampkeeper.alarm;

import java.util.ArrayList;
import java.util.Collection;
import java.util.Comparator;
import java.util.List;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/** Writes many labels in little room, leaving none out: "H1, H3 to H24, K2". */
public final class CodeRanges {

    private static final Pattern NUMBERED = Pattern.compile("(.*?)(\\d{1,9})");

    private CodeRanges() {
    }

    /** A label that ends with a number; {@code width}: its digits, so that H01 and H1 are not taken for neighbours. */
    private record Label(String code, String stem, int width, long number) {

        static Label of(String code) {
            Matcher numbered = NUMBERED.matcher(code);
            if (!numbered.matches()) {
                return new Label(code, code, 0, 0);
            }
            String digits = numbered.group(2);
            return new Label(code, numbered.group(1), digits.startsWith("0") ? digits.length() : 0, Long.parseLong(digits));
        }

        boolean isFollowedBy(Label next) {
            return stem.equals(next.stem) && number + 1 == next.number && (width == next.width || (next.width == 0 && width == Long.toString(next.number).length()));
        }
    }

    /** Sorted, each once; three or more that follow each other by number become a range that names its ends. */
    public static String of(Collection<String> codes) {
        List<Label> labels = codes.stream().distinct().map(Label::of)
                .sorted(Comparator.comparing(Label::stem).thenComparing(Label::number).thenComparing(Label::code)).toList();
        List<String> written = new ArrayList<>();
        int from = 0;
        while (from < labels.size()) {
            int to = from;
            while (to + 1 < labels.size() && labels.get(to).isFollowedBy(labels.get(to + 1))) {
                to++;
            }
            if (to - from >= 2) {
                written.add(labels.get(from).code() + " to " + labels.get(to).code());
            } else {
                labels.subList(from, to + 1).forEach(label -> written.add(label.code()));
            }
            from = to + 1;
        }
        return String.join(", ", written);
    }
}
