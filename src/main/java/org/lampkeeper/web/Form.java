package org.lampkeeper.web;

import java.time.DayOfWeek;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalDateTime;
import java.time.LocalTime;
import java.time.ZoneId;
import java.time.ZoneOffset;
import java.time.format.DateTimeParseException;
import java.util.ArrayList;
import java.util.EnumSet;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.OptionalLong;
import java.util.Set;
import java.util.regex.Pattern;
import java.util.stream.Stream;

import jakarta.ws.rs.core.MultivaluedMap;

import org.lampkeeper.register.Problem;
import org.lampkeeper.web.Input.Choice;

/**
 * What a person typed, kept as they typed it, with what is wrong beside each field. For one request; not shared between threads.
 * Public is what templates ask for.
 *
 * <pre>{@code
 * Form form = Form.typed(sent).add(Input.whole("fuseAmpere", "Fuse", "A"));
 * int fuse = form.whole("fuseAmpere", 1, 13);      // "3,5" is kept, and has a problem beside it
 * if (!form.isFine()) { ... 422, showing form ... }
 * }</pre>
 */
final class Form {

    private static final Pattern WHOLE = Pattern.compile("[+-]?\\d{1,9}");
    private static final Pattern DECIMAL = Pattern.compile("[+\\-\\u2212]?\\d{1,9}([.,]\\d{1,9})?");
    private static final Pattern ID = Pattern.compile("\\d{1,18}");

    // Ours: enough of a wrong value to recognise it; all of it stands in the field.
    private static final int QUOTED = 40;

    private final Map<String, String> values;
    private final List<Section> sections = new ArrayList<>();
    private final Map<String, Input> inputs = new LinkedHashMap<>();
    private final Map<String, List<String>> problems = new HashMap<>();
    private final List<String> ofTheWhole = new ArrayList<>();
    private Map<String, String> stored = Map.of();
    private String changedBy = "";

    private Form(Map<String, String> values) {
        this.values = new HashMap<>(values);
    }

    /** The same, with what a button of the page itself has moved about. */
    static Form typed(Map<String, String> sent) {
        return new Form(sent);
    }

    /** What was sent, of each name the first value. */
    static Form typed(MultivaluedMap<String, String> sent) {
        return new Form(firstOf(sent));
    }

    static Map<String, String> firstOf(MultivaluedMap<String, String> sent) {
        Map<String, String> first = new HashMap<>();
        sent.forEach((name, all) -> first.put(name, all.isEmpty() || all.get(0) == null ? "" : all.get(0)));
        return first;
    }

    /** What is stored, to be changed. */
    static Form showing(Map<String, String> stored, int version) {
        Form form = new Form(stored);
        form.values.put("version", Integer.toString(version));
        return form;
    }

    static Form empty() {
        return new Form(Map.of());
    }

    /** The fields from here on belong together; without one, they stand under no heading. */
    Form section(String heading, String note) {
        sections.add(new Section(heading, note, new ArrayList<>()));
        return this;
    }

    Form add(Input input) {
        if (sections.isEmpty()) {
            section("", "");
        }
        sections.get(sections.size() - 1).inputs().add(input);
        inputs.put(input.name(), input);
        return this;
    }

    /** As it was typed; empty where nothing was. */
    public String value(String name) {
        return values.getOrDefault(name, "");
    }

    /** For a field that the page fills in before anything was typed. */
    Form preset(String name, String value) {
        values.putIfAbsent(name, value);
        return this;
    }

    /** Without the blanks around it. */
    String text(String name) {
        return value(name).strip();
    }

    Optional<String> optionalText(String name) {
        return Optional.of(text(name)).filter(typed -> !typed.isEmpty());
    }

    boolean isTicked(String name) {
        return !value(name).isEmpty();
    }

    /** The version that the form was filled from; one that nothing has where it cannot be read. */
    public int version() {
        String typed = value("version");
        return WHOLE.matcher(typed).matches() ? Integer.parseInt(typed) : Integer.MIN_VALUE;
    }

    /** Both ends are allowed. {@code least} where it is no such number: the form then is not fine. */
    int whole(String name, int least, int most) {
        return optionalWhole(name, least, most).orElseGet(() -> {
            problem(name, "is empty, must be " + range(least, most, name));
            return least;
        });
    }

    /** Empty where nothing was typed, and where it is no such number: the form then is not fine. */
    OptionalInt optionalWhole(String name, int least, int most) {
        String typed = text(name);
        if (typed.isEmpty()) {
            return OptionalInt.empty();
        }
        if (!WHOLE.matcher(typed).matches()) {
            problem(name, quoted(typed) + " is not a whole number, must be " + range(least, most, name));
            return OptionalInt.of(least);
        }
        int value = Integer.parseInt(typed);
        if (value < least || value > most) {
            problem(name, value + unit(name) + ", must be " + range(least, most, name));
            return OptionalInt.of(least);
        }
        return OptionalInt.of(value);
    }

    /** A whole number; its limits are the register's to tell. 0 where it is none: the form then is not fine. */
    int whole(String name, String example) {
        String typed = text(name);
        if (!WHOLE.matcher(typed).matches()) {
            problem(name, (typed.isEmpty() ? "is empty" : quoted(typed) + " is not a whole number") + ", must be one like " + example
                    + unit(name));
            return 0;
        }
        return Integer.parseInt(typed);
    }

    /** Empty where nothing was typed, and where it is no whole number: the form then is not fine. */
    OptionalInt optionalWhole(String name, String example) {
        return text(name).isEmpty() ? OptionalInt.empty() : OptionalInt.of(whole(name, example));
    }

    /** Takes "2,5" and "2.5"; limits are the register's to tell. Empty as {@link #decimal(String, double, double)}. */
    Optional<Double> decimal(String name) {
        String typed = text(name);
        if (typed.isEmpty()) {
            return Optional.empty();
        }
        if (!DECIMAL.matcher(typed).matches()) {
            problem(name, quoted(typed) + " is not a number, must be written like 2.5 or 2,5");
            return Optional.empty();
        }
        return Optional.of(Double.parseDouble(typed.replace(',', '.').replace('\u2212', '-')));
    }

    /** Takes "2,5" and "2.5". Empty where nothing was typed, and where it is no such number: the form then is not fine. */
    Optional<Double> decimal(String name, double least, double most) {
        String typed = text(name);
        if (typed.isEmpty()) {
            return Optional.empty();
        }
        Optional<Double> value = decimal(name);
        if (value.isPresent() && (value.get() < least || value.get() > most)) {
            problem(name, typed + unit(name) + ", must be " + number(least) + " to " + number(most) + unit(name));
            return Optional.empty();
        }
        return value;
    }

    /** The constant that was chosen; empty where none of the field's choices was, and the form then is not fine. */
    <E extends Enum<E>> Optional<E> choice(String name, Class<E> kind) {
        Optional<E> chosen = Stream.of(kind.getEnumConstants()).filter(constant -> constant.name().equals(value(name))).findFirst();
        return chosen.filter(constant -> isOffered(name)).or(() -> {
            problem(name, "nothing is chosen, choose one");
            return Optional.empty();
        });
    }

    /** The number of the thing that was chosen; empty where none of the field's choices was, and the form then is not fine. */
    OptionalLong chosenId(String name) {
        if (ID.matcher(value(name)).matches() && isOffered(name)) {
            return OptionalLong.of(Long.parseLong(value(name)));
        }
        problem(name, "nothing is chosen, choose one");
        return OptionalLong.empty();
    }

    private boolean isOffered(String name) {
        return inputs.get(name).choices().stream().anyMatch(choice -> choice.value().equals(value(name)));
    }

    /** Empty where nothing was typed, and where it is no day: the form then is not fine. */
    Optional<LocalDate> date(String name) {
        String typed = text(name);
        if (typed.isEmpty()) {
            return Optional.empty();
        }
        try {
            return Optional.of(LocalDate.parse(typed));
        } catch (DateTimeParseException notADay) {
            problem(name, quoted(typed) + " is not a day, must be written like 2026-11-25");
            return Optional.empty();
        }
    }

    /** A day that must be given; empty where it is none: the form then is not fine. */
    Optional<LocalDate> dayGiven(String name) {
        if (text(name).isEmpty()) {
            problem(name, "is empty, must be a day like 2026-11-25");
        }
        return date(name);
    }

    /** A time of day, written as {@code example}; empty where it is none: the form then is not fine. */
    Optional<LocalTime> timeOfDay(String name, String example) {
        try {
            return Optional.of(LocalTime.parse(text(name)));
        } catch (DateTimeParseException notATime) {
            problem(name, "is not a time of day, must be written like " + example);
            return Optional.empty();
        }
    }

    /** A tick for each day of the week, named {@link #tickOf}. */
    Form addWeekdays() {
        for (DayOfWeek day : DayOfWeek.values()) {
            add(Input.tick(tickOf(day), DutyWords.day(day)));
        }
        return this;
    }

    /** Those that are ticked. */
    Set<DayOfWeek> weekdays() {
        Set<DayOfWeek> days = EnumSet.noneOf(DayOfWeek.class);
        Stream.of(DayOfWeek.values()).filter(day -> isTicked(tickOf(day))).forEach(days::add);
        return days;
    }

    /** What is stored, as the ticks show it. */
    static void storedWeekdays(Map<String, String> stored, Set<DayOfWeek> days) {
        for (DayOfWeek day : DayOfWeek.values()) {
            stored.put(tickOf(day), days.contains(day) ? "yes" : "");
        }
    }

    private static String tickOf(DayOfWeek day) {
        return "days." + day.name();
    }

    /** Empty where nothing was typed, and where {@code zone} has no such moment or has it twice: the form then is not fine. */
    Optional<Instant> moment(String name, ZoneId zone) {
        String typed = text(name).replace(' ', 'T');
        if (typed.isEmpty()) {
            problem(name, "is empty, must be a day and a time");
            return Optional.empty();
        }
        try {
            LocalDateTime local = LocalDateTime.parse(typed);
            List<ZoneOffset> offsets = zone.getRules().getValidOffsets(local);
            if (offsets.size() == 1) {
                return Optional.of(local.toInstant(offsets.get(0)));
            }
            problem(name, offsets.isEmpty() ? "that time does not exist: the clocks go forward over it, choose another"
                    : "that time comes twice: the clocks go back over it, choose one before or after");
        } catch (DateTimeParseException notAMoment) {
            problem(name, quoted(typed) + " is not a day and a time, must be written like 2026-11-25 14:30");
        }
        return Optional.empty();
    }

    /** {@code text}: what is wrong and what would be right. A field that has a problem already gets no second one. */
    Form problem(String name, String text) {
        if (inputs.containsKey(name)) {
            problems.computeIfAbsent(name, field -> new ArrayList<>());
            if (problems.get(name).isEmpty()) {
                problems.get(name).add(sentence(text));
            }
        } else {
            ofTheWhole.add(sentence(text));
        }
        return this;
    }

    /** What the register has to say; a problem whose field is not on the page is about the whole. */
    Form problems(List<Problem> found) {
        found.forEach(problem -> problem(problem.field(), problem.text()));
        return this;
    }

    boolean isFine() {
        return problems.isEmpty() && ofTheWhole.isEmpty();
    }

    /** Somebody else was faster: what they stored stands beside each field that differs, and saving again overwrites it. */
    Form changedMeanwhile(int version, Map<String, String> nowStored, String who) {
        values.put("version", Integer.toString(version));
        stored = Map.copyOf(nowStored);
        changedBy = who;
        return this;
    }

    /** Who was faster, and when; empty when nobody was. */
    public String changedBy() {
        return changedBy;
    }

    public boolean hasVersion() {
        return values.containsKey("version");
    }

    /** How many fields and other things are to be put right, in words; empty when none is. */
    public String summary() {
        int count = problems.size() + ofTheWhole.size();
        return count == 0 ? "" : count == 1 ? "One thing is to be put right. Nothing was stored yet."
                : count + " things are to be put right. Nothing was stored yet.";
    }

    public List<String> ofTheWhole() {
        return List.copyOf(ofTheWhole);
    }

    /** What is wrong with fields, in the order of the page. */
    public List<Broken> broken() {
        return inputs.values().stream().filter(input -> problems.containsKey(input.name()))
                .map(input -> new Broken(id(input.name()), input.label(), problems.get(input.name()).get(0))).toList();
    }

    public List<SectionView> sections() {
        return sections.stream().map(section -> new SectionView(section.heading(), section.note(),
                section.inputs().stream().map(input -> field(input.name())).toList())).toList();
    }

    /** One field with all that is said about it. @throws IllegalArgumentException when the form has no such field */
    public FieldView field(String name) {
        Input input = inputs.get(name);
        if (input == null) {
            throw new IllegalArgumentException("form: no field '" + name + "'");
        }
        String value = input.kind().equals("secret") ? "" : value(name);
        String id = id(name);
        String error = problems.getOrDefault(name, List.of()).stream().findFirst().orElse("");
        boolean differs = stored.containsKey(name) && !stored.get(name).equals(value);
        String now = differs ? written(input, stored.get(name)) : "";
        String describedBy = String.join(" ", Stream.of(input.hint().isEmpty() ? "" : id + "-hint", error.isEmpty() ? "" : id + "-error",
                differs ? id + "-stored" : "").filter(part -> !part.isEmpty()).toList());
        List<ChoiceView> choices = input.choices().stream()
                .map(choice -> new ChoiceView(choice.value(), choice.label(), choice.value().equals(value))).toList();
        return new FieldView(id, name, input.kind(), type(input.kind()), input.label(), input.hint(), input.unit(), input.isAsked(), value,
                error, differs, now, changedBy, describedBy, input.inputmode(), input.autocomplete(), choices,
                choices.stream().noneMatch(ChoiceView::isChosen), isTicked(name));
    }

    /** @param note one sentence under the heading; empty for none */
    record SectionView(String heading, String note, List<FieldView> fields) {
    }

    /** A field with a problem: where it is, how it is called, what is wrong. */
    record Broken(String id, String label, String text) {

        /** What is wrong, said without its field beside it; some problems begin with its name themselves. */
        public String sentence() {
            return text.startsWith(label) ? text : label + ": " + text;
        }
    }

    record ChoiceView(String value, String label, boolean isChosen) {
    }

    /**
     * @param type      of the HTML input
     * @param differs   somebody else stored something else meanwhile: {@code storedNow}, by {@code storedBy}
     * @param isNothing of a choice: none is chosen
     */
    record FieldView(String id, String name, String kind, String type, String label, String hint, String unit, boolean isAsked, String value,
            String error, boolean differs, String storedNow, String storedBy, String describedBy, String inputmode, String autocomplete,
            List<ChoiceView> choices, boolean isNothing, boolean isTicked) {

        /** For a tag that hands its field on: a lone "it" would reach the next one as nothing. */
        public FieldView self() {
            return this;
        }
    }

    private record Section(String heading, String note, List<Input> inputs) {
    }

    private static String id(String name) {
        return "field-" + name.replace('.', '-');
    }

    private static String type(String kind) {
        return switch (kind) {
            case "mail" -> "email";
            case "phone" -> "tel";
            case "date" -> "date";
            case "moment" -> "datetime-local";
            case "secret" -> "password";
            default -> "text";
        };
    }

    private static String written(Input input, String value) {
        if (input.kind().equals("tick")) {
            return value.isEmpty() ? "no" : "yes";
        }
        return input.choices().stream().filter(choice -> choice.value().equals(value)).map(Choice::label).findFirst()
                .orElse(value.isEmpty() ? "nothing" : value);
    }

    private String unit(String name) {
        Input input = inputs.get(name);
        return input == null || input.unit().isEmpty() ? "" : " " + input.unit();
    }

    private String range(int least, int most, String name) {
        return least + " to " + most + unit(name);
    }

    /** As a person would write it: "3", not "3.0". */
    static String number(double value) {
        return value == Math.rint(value) ? Long.toString((long) value) : Double.toString(value);
    }

    private static String quoted(String typed) {
        return "“" + (typed.length() > QUOTED ? typed.substring(0, QUOTED) + "…" : typed) + "”";
    }

    private static String sentence(String text) {
        String begun = text.substring(0, 1).toUpperCase(Locale.UK) + text.substring(1);
        return begun.endsWith(".") ? begun : begun + ".";
    }
}
