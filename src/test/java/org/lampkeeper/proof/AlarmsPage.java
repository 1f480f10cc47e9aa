package org.lampkeeper.proof;

import java.util.List;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Stream;

import org.lampkeeper.testing.ServiceProcess;

/** What the page of alarms says, as somebody who looks at it reads it. */
record AlarmsPage(List<Entry> open, List<Entry> past) {

    /** {@code id}: of the alarm; {@code text}: its line, without markup. */
    record Entry(long id, String text) {
    }

    private static final Pattern ENTRY = Pattern.compile("<li[^>]*><a href=\"/alarms/(\\d+)\">(.*?)</li>", Pattern.DOTALL);

    static AlarmsPage of(ServiceProcess service) {
        String html = service.get("/alarms").body();
        int past = html.indexOf("<h2>Past</h2>");
        if (past < 0) {
            throw new IllegalStateException("this is not the page of alarms: " + html);
        }
        // In between stand, once more, those of which nobody has said what was done.
        int over = html.indexOf("<h2>Over, and nobody");
        return new AlarmsPage(entries(html.substring(0, over < 0 ? past : over)), entries(html.substring(past)));
    }

    private static List<Entry> entries(String html) {
        Matcher found = ENTRY.matcher(html);
        Stream.Builder<Entry> entries = Stream.builder();
        while (found.find()) {
            entries.add(new Entry(Long.parseLong(found.group(1)), found.group(2).replaceAll("<[^>]*>", " ").strip()));
        }
        return entries.build().toList();
    }

    /** The highest id on the page; 0 where it is empty. */
    long newest() {
        return Stream.concat(open.stream(), past.stream()).mapToLong(Entry::id).max().orElse(0);
    }

    AlarmsPage newerThan(long id) {
        return new AlarmsPage(open.stream().filter(entry -> entry.id() > id).toList(), past.stream().filter(entry -> entry.id() > id).toList());
    }

    List<Entry> openOf(String cabinet) {
        return of(open, cabinet);
    }

    List<Entry> pastOf(String cabinet) {
        return of(past, cabinet);
    }

    private static List<Entry> of(List<Entry> entries, String cabinet) {
        // "Quay 1" must not find "Quay 12".
        Pattern name = Pattern.compile(Pattern.quote(cabinet) + "(?!\\d)");
        return entries.stream().filter(entry -> name.matcher(entry.text()).find()).toList();
    }
}
