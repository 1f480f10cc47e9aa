package org.lampkeeper.register;

import java.time.LocalDate;
import java.time.format.DateTimeParseException;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Collectors;
import java.util.stream.IntStream;
import java.util.stream.Stream;

import org.lampkeeper.electrical.Conductor;
import org.lampkeeper.electrical.IpCode;
import org.lampkeeper.electrical.Laying;
import org.lampkeeper.electrical.Spacing;

/**
 * Everything that a hand-over record may say, in the order in which an installer comes to it. A value is kept as it was typed, and is read
 * here; what cannot be read is kept too, with a sentence, and counts as not given. No field is filled in by itself.
 */
public enum HandoverField {

    POSITION(Section.SITE, "position", "Position of the cabinet", Shape.text(), Needed.ALWAYS, "So that a stranger finds it: west end, beside the ladder."),
    POSITION_PHOTO(Section.SITE, "positionPhoto", "Photo of the position", new Shape(Kind.PHOTO, "", 0, 0, List.of()), Needed.NEVER,
            "The place with some of what is around it, so that a stranger finds it. No people."),
    HEIGHT(Section.SITE, "heightMetres", "Height of its underside", Shape.decimal("m", 0, 5), Needed.ALWAYS, "Above the ground on which people stand."),
    SHADE(Section.SITE, "shade", "Sun", Shape.choice("SHADED", "shaded all day", "PARTLY", "sun for a part of the day", "SUN", "sun all day"), Needed.ALWAYS,
            "Sun warms a cabinet far above the air around it."),
    EXPOSURE(Section.SITE, "exposure", "Water", Shape.choice("SPLASH", "rain and splashes", "JETS", "driven spray, or somebody hoses there", "WAVES",
            "waves break over it"), Needed.ALWAYS, "What gets at it in the worst weather."),
    ACCESS(Section.SITE, "access", "Way to it", Shape.text(), Needed.ALWAYS, "Gates, stairs, tide, hours."),
    KEYS(Section.SITE, "keys", "Keys", Shape.text(), Needed.ALWAYS, "Of gate, board and fused unit, and who has them. “None” is an answer."),

    BOARD(Section.BOARD, "board", "Board", Shape.text(), Needed.ALWAYS, "As it is marked."),
    WAY(Section.BOARD, "way", "Way", Shape.text(), Needed.ALWAYS, "As it is marked on the board: 4."),
    SPARE_WAY(Section.BOARD, "spareWay", "A spare way of its own", Shape.yesNo(), Needed.ALWAYS, "Shared with anything else, somebody else’s fault darkens the cabinet."),
    SHUTDOWN(Section.BOARD, "shutdown", "Shutdown for the work at the board", Shape.choice("AGREED", "agreed, the board is dead", "NOT_POSSIBLE", "the board cannot be dead"),
            Needed.ALWAYS, "Its other circuits go off with it."),
    SHUTDOWN_WITH(Section.BOARD, "shutdownWith", "Agreed with whom, when", Shape.text(), Needed.IF_SHUTDOWN, "Who relies on the other circuits and agreed."),
    WHY_LIVE(Section.BOARD, "whyLive", "Why it could not be dead", Shape.text(), Needed.IF_LIVE,
            "Why not, who decided it, and what was done instead. Work on live parts is the last resort."),

    EDITION(Section.SUPPLY, "edition", "Edition of the limits", new Shape(Kind.EDITION, "", 0, 0, List.of()), Needed.ALWAYS,
            "The tables to compare with. None is preset: which one applies is for you to say."),
    EARTHING(Section.SUPPLY, "earthing", "Earthing", Shape.choice("TN_S", "TN-S", "TN_C_S", "TN-C-S", "TT", "TT"), Needed.ALWAYS, ""),
    VOLT(Section.SUPPLY, "volt", "Nominal voltage to earth", Shape.decimal("V", 50, 400), Needed.ALWAYS, ""),
    ZE(Section.SUPPLY, "ze", "Ze", Shape.decimal("Ω", 0, 2000), Needed.ALWAYS, "The loop outside of the installation."),
    ZE_FROM(Section.SUPPLY, "zeFrom", "Ze comes from", Shape.choice("MEASURED", "measuring", "ASKED", "asking whoever runs the network", "WORKED_OUT", "working it out"),
            Needed.ALWAYS, ""),
    FAULT_CURRENT(Section.SUPPLY, "faultCurrent", "Prospective fault current at the board", Shape.decimal("kA", 0, 100), Needed.ALWAYS, "In kA: 1.2, not 1200."),
    NETWORK(Section.SUPPLY, "network", "Fed from", Shape.choice("PUBLIC", "the public network", "PRIVATE", "a transformer or generator of the site"), Needed.SELDOM,
            "Empty counts as public. A private supply may lose more voltage."),
    ELECTRODE(Section.SUPPLY, "electrode", "Earth electrode RA", Shape.decimal("Ω", 0, 5000), Needed.IF_TT, "On a TT system."),

    DEVICE(Section.DEVICE, "device", "Protective device", Shape.choice("RCBO", "RCBO: residual current too", "MCB", "MCB: overcurrent only"), Needed.ALWAYS, ""),
    CURVE(Section.DEVICE, "curve", "Curve", Shape.choice("B", "B", "C", "C", "D", "D"), Needed.ALWAYS, "The letter before the rating on its front."),
    RATING(Section.DEVICE, "rating", "Rating", Shape.whole("A", 1, 125), Needed.ALWAYS, "The number after the letter: 16 on a C16."),
    BREAKING(Section.DEVICE, "breaking", "Breaking capacity", Shape.decimal("kA", 1, 100), Needed.ALWAYS, "In kA. 6000 in a frame on its front is 6 kA."),
    RESIDUAL(Section.DEVICE, "residual", "Residual current", Shape.whole("mA", 10, 1000), Needed.IF_RCBO, "30 on most."),
    RESIDUAL_TYPE(Section.DEVICE, "residualType", "Residual-current type", Shape.choice("AC", "AC", "A", "A", "F", "F", "B", "B"), Needed.IF_RCBO, ""),
    DELAY(Section.DEVICE, "delay", "Delay", Shape.choice("NONE", "none: general type", "S", "type S: delayed"), Needed.IF_RCBO, ""),
    INRUSH(Section.DEVICE, "inrush", "Largest current on switching on", Shape.decimal("A", 0, 2000), Needed.SELDOM,
            "From the papers of what it feeds. A B may open at once above 3, a C above 5, a D above 10 times its rating."),
    SUITED(Section.DEVICE, "suited", "Its maker names it for this board", Shape.yesNo(), Needed.ALWAYS, "A device of another maker may not sit on the busbar."),

    CABLE(Section.CABLE, "cable", "Cable", Shape.choice("SWA", "steel-wire armoured", "SHEATHED", "sheathed, without armour", "OTHER", "another"), Needed.ALWAYS, ""),
    INSULATION(Section.CABLE, "insulation", "Insulation", Shape.choice("THERMOPLASTIC_70", "thermoplastic, 70 °C", "THERMOSETTING_90", "thermosetting, 90 °C"),
            Needed.ALWAYS, "As printed on the sheath."),
    ACCESSORY(Section.CABLE, "accessory", "What it ends in is rated for", Shape.choice("C70", "70 °C", "C90", "90 °C"), Needed.ALWAYS,
            "Terminals for 70 °C keep a 90 °C cable at the figures of 70 °C."),
    CORES(Section.CABLE, "cores", "Cores", Shape.whole("cores", 2, 7), Needed.ALWAYS, ""),
    SIZE(Section.CABLE, "size", "Size of the live cores", Shape.decimal("mm²", 0.5, 35), Needed.ALWAYS, ""),
    BACK(Section.CABLE, "back", "Protective conductor", Shape.choice("CORE", "a core", "ARMOUR", "the armour alone", "CORE_AND_ARMOUR", "a core, with the armour beside it",
            "SEPARATE", "a conductor of its own beside the cable", "CONDUIT", "the steel conduit"), Needed.ALWAYS, ""),
    BACK_SIZE(Section.CABLE, "backSize", "Size of the protective conductor", Shape.decimal("mm²", 0.5, 35), Needed.IF_CORE, "Of the core, or of the one beside the cable."),
    ARMOUR_SIZE(Section.CABLE, "armourSize", "Cross-section of the armour or conduit", Shape.decimal("mm²", 1, 500), Needed.NEVER,
            "Where that is the protective conductor: from its maker’s table. Without it, whether it bears a fault is not worked out."),
    LENGTH(Section.CABLE, "length", "Length", Shape.decimal("m", 0.1, 500), Needed.ALWAYS, ""),
    METHOD(Section.CABLE, "method", "Laid", laid(), Needed.ALWAYS, "Laid in more than one way: the one in which it carries least. For “otherwise”, such as in insulation, there is no table here."),
    AMBIENT(Section.CABLE, "ambient", "Temperature around it at its warmest", Shape.whole("°C", -40, 60), Needed.ALWAYS, "Of the air; of the ground where it is laid in that."),
    GROUPED(Section.CABLE, "grouped", "Circuits that run together", Shape.whole("circuits", 1, 20), Needed.ALWAYS, "With this one: 1 when it runs alone."),
    SPACING(Section.CABLE, "spacing", "How they lie", Shape.choice(Stream.of(Spacing.values()).flatMap(way -> Stream.of(way.name(), way.words())).toArray(String[]::new)), Needed.SELDOM,
            "Circuits that run together. Empty counts as bunched, which carries least."),
    LOADED(Section.CABLE, "loaded", "Loaded conductors", Shape.choice("TWO", "line and neutral", "THREE", "three lines: it feeds more than the cabinet"), Needed.SELDOM,
            "Empty counts as line and neutral."),
    CONDUCTOR(Section.CABLE, "conductor", "Copper", Shape.choice(Stream.of(Conductor.values()).flatMap(kind -> Stream.of(kind.name(), kind.words())).toArray(String[]::new)), Needed.SELDOM,
            "Empty counts as plain, class 1 or 2."),
    ARMOUR_METAL(Section.CABLE, "armourMetal", "Armour of", Shape.choice("STEEL", "steel wire", "ALUMINIUM", "aluminium wire"), Needed.SELDOM, "Empty counts as steel."),
    SPARE_CORES(Section.CABLE, "spareCores", "Spare cores earthed at", Shape.text(), Needed.ALWAYS, "At which end, or both. “None” where there are none."),
    ARMOUR_EARTHED(Section.CABLE, "armourEarthed", "Armour earthed at", Shape.text(), Needed.IF_ARMOURED, "With what: gland and earthing nut, at the board."),

    SWITCHED(Section.FUSED_UNIT, "switched", "Fused connection unit", Shape.choice("UNSWITCHED", "not switched", "SWITCHED", "switched"), Needed.ALWAYS,
            "Not switched, nobody switches it off in passing."),
    FUSE(Section.FUSED_UNIT, "fuse", "Fuse", Shape.whole("A", 1, 13), Needed.ALWAYS, "What is fitted: 3 (red) or 13 (brown); others are black."),
    TERMINAL(Section.FUSED_UNIT, "terminal", "Its terminals take", Shape.decimal("mm²", 0.5, 35), Needed.NEVER, "The largest conductor, from its papers."),
    LAMP_SIDE(Section.FUSED_UNIT, "lampSide", "The lamp is on", Shape.choice("LOAD", "the load side of the fuse", "SUPPLY", "the supply side of the fuse"), Needed.ALWAYS, ""),
    LAMP_PLACE(Section.FUSED_UNIT, "lampPlace", "Place of the lamp", Shape.text(), Needed.ALWAYS, ""),
    SWITCH_OFF(Section.FUSED_UNIT, "switchOff", "Where to switch off in danger", Shape.text(), Needed.ALWAYS, "One place that anybody finds in the dark."),

    IP_CODE(Section.CABINET, "ipCode", "IP code", new Shape(Kind.IP_CODE, "", 0, 0, List.of()), Needed.ALWAYS, "IEC 60529, as on its plate: IP65."),
    IMPACT(Section.CABINET, "impactCode", "IK code", impact(), Needed.SELDOM, "IEC 62262, against blows. On or above a jetty IK08 is asked for."),
    METAL(Section.CABINET, "metal", "Metal that can be touched", Shape.choice("EARTHED", "earthed metal", "NONE", "none, or class II"), Needed.ALWAYS, ""),
    HEATER(Section.CABINET, "heaterWatt", "Heater", Shape.decimal("W", 0, 2000), Needed.ALWAYS, "From its plate. 0 where there is none."),
    OTHER_LOAD(Section.CABINET, "otherWatt", "All else on this circuit", Shape.decimal("W", 0, 2000), Needed.ALWAYS, "Lamp, sensor, light. 0 for nothing."),
    USE(Section.CABINET, "use", "The circuit feeds", Shape.choice("OTHER", "a heater or other equipment", "LIGHTING", "lighting alone"), Needed.SELDOM,
            "Empty counts as other equipment. Lighting may lose less voltage."),
    THERMOSTAT(Section.CABINET, "thermostat", "Thermostat set to", Shape.decimal("°C", -20, 40), Needed.IF_HEATED, ""),

    CONTENT(Section.CONTENT, "content", "Content", Shape.text(), Needed.ALWAYS, "One word or two: defibrillator."),
    STORAGE(Section.CONTENT, "storage", "Storage temperatures that its maker gives", Shape.choice("BOTH", "a lowest and a highest", "LOWEST", "only a lowest", "HIGHEST",
            "only a highest", "NONE", "none: its papers name no limit"), Needed.ALWAYS, "From the maker’s papers; none is assumed."),
    LOWEST(Section.CONTENT, "lowest", "Lowest", Shape.decimal("°C", NewContent.LEAST_CELSIUS, NewContent.MOST_CELSIUS), Needed.IF_LOWEST, ""),
    HIGHEST(Section.CONTENT, "highest", "Highest", Shape.decimal("°C", NewContent.LEAST_CELSIUS, NewContent.MOST_CELSIUS), Needed.IF_HIGHEST, ""),
    PART_1(Section.CONTENT, "part1", "Dated part 1", Shape.text(), Needed.NEVER, "Pads, battery, bottle. Empty for none."),
    PART_1_UNTIL(Section.CONTENT, "part1Until", "Good until, part 1", Shape.day(), Needed.IF_PART, ""),
    PART_2(Section.CONTENT, "part2", "Dated part 2", Shape.text(), Needed.NEVER, ""),
    PART_2_UNTIL(Section.CONTENT, "part2Until", "Good until, part 2", Shape.day(), Needed.IF_PART, ""),
    PART_3(Section.CONTENT, "part3", "Dated part 3", Shape.text(), Needed.NEVER, ""),
    PART_3_UNTIL(Section.CONTENT, "part3Until", "Good until, part 3", Shape.day(), Needed.IF_PART, ""),
    PART_4(Section.CONTENT, "part4", "Dated part 4", Shape.text(), Needed.NEVER, ""),
    PART_4_UNTIL(Section.CONTENT, "part4Until", "Good until, part 4", Shape.day(), Needed.IF_PART, ""),
    PART_5(Section.CONTENT, "part5", "Dated part 5", Shape.text(), Needed.NEVER, ""),
    PART_5_UNTIL(Section.CONTENT, "part5Until", "Good until, part 5", Shape.day(), Needed.IF_PART, ""),
    PART_6(Section.CONTENT, "part6", "Dated part 6", Shape.text(), Needed.NEVER, ""),
    PART_6_UNTIL(Section.CONTENT, "part6Until", "Good until, part 6", Shape.day(), Needed.IF_PART, ""),
    PART_7(Section.CONTENT, "part7", "Dated part 7", Shape.text(), Needed.NEVER, ""),
    PART_7_UNTIL(Section.CONTENT, "part7Until", "Good until, part 7", Shape.day(), Needed.IF_PART, ""),
    PART_8(Section.CONTENT, "part8", "Dated part 8", Shape.text(), Needed.NEVER, ""),
    PART_8_UNTIL(Section.CONTENT, "part8Until", "Good until, part 8", Shape.day(), Needed.IF_PART, ""),
    PART_9(Section.CONTENT, "part9", "Dated part 9", Shape.text(), Needed.NEVER, ""),
    PART_9_UNTIL(Section.CONTENT, "part9Until", "Good until, part 9", Shape.day(), Needed.IF_PART, ""),
    PART_10(Section.CONTENT, "part10", "Dated part 10", Shape.text(), Needed.NEVER, ""),
    PART_10_UNTIL(Section.CONTENT, "part10Until", "Good until, part 10", Shape.day(), Needed.IF_PART, ""),
    PART_11(Section.CONTENT, "part11", "Dated part 11", Shape.text(), Needed.NEVER, ""),
    PART_11_UNTIL(Section.CONTENT, "part11Until", "Good until, part 11", Shape.day(), Needed.IF_PART, ""),
    PART_12(Section.CONTENT, "part12", "Dated part 12", Shape.text(), Needed.NEVER, ""),
    PART_12_UNTIL(Section.CONTENT, "part12Until", "Good until, part 12", Shape.day(), Needed.IF_PART, ""),

    TESTER(Section.READINGS, "tester", "Instrument", Shape.text(), Needed.ALWAYS, "Kind and number, and until when its calibration holds."),
    R1R2(Section.READINGS, "r1r2", "R1 + R2", Shape.decimal("Ω", 0, 100), Needed.ALWAYS, "With 4 to 24 V and at least 200 mA, the leads taken off."),
    R1R2_AT(Section.READINGS, "r1r2At", "The conductors were at", Shape.decimal("°C", -40, 60), Needed.ALWAYS, ""),
    MEGOHM(Section.READINGS, "megohm", "Insulation, live to earth", Shape.reading("MΩ", 0, 100_000), Needed.ALWAYS, "As shown: >999 stays “more than 999”."),
    ZS(Section.READINGS, "zs", "Zs", Shape.decimal("Ω", 0, 2000), Needed.ALWAYS, "At the fused connection unit."),
    POLARITY(Section.READINGS, "polarity", "Polarity", Shape.choice("CORRECT", "correct", "EXCHANGED", "exchanged"), Needed.ALWAYS, ""),
    TRIP_HALF(Section.READINGS, "tripHalf", "Residual current, ½ × IΔn", Shape.choice("STAYED", "it stayed closed", "OPENED", "it opened"), Needed.IF_RCBO, ""),
    TRIP_ONCE(Section.READINGS, "tripOnce", "Residual current, 1 × IΔn", Shape.reading("ms", 0, 5000), Needed.IF_RCBO, "The longer of both half-waves; >300 for one that did not open."),
    TRIP_FIVE(Section.READINGS, "tripFive", "Residual current, 5 × IΔn", Shape.reading("ms", 0, 5000), Needed.NEVER, "Where your edition asks for it, or it was done."),
    TRIP_AT(Section.READINGS, "tripAt", "Residual current, rising: opened at", Shape.reading("mA", 0, 2000), Needed.SELDOM,
            "Of a test with a current that rises slowly; >33 for one that did not open."),
    TEST_BUTTON(Section.READINGS, "testButton", "Its test button", Shape.choice("OPENS", "opens it", "FAILS", "does nothing"), Needed.IF_RCBO, "Pressed after the tests, and closed again."),
    LEAKAGE(Section.READINGS, "leakage", "Standing leakage", Shape.decimal("mA", 0, 1000), Needed.IF_RCBO, ""),
    NEXT_INSPECTION(Section.READINGS, "nextInspection", "Next inspection due", Shape.day(), Needed.ALWAYS, ""),

    INSTALLER(Section.PEOPLE, "installer", "Installer", Shape.text(), Needed.ALWAYS, "Name, firm, number of registration where there is one."),
    TAKEN_OVER_BY(Section.PEOPLE, "takenOverBy", "Taken over for the site by", Shape.text(), Needed.ALWAYS, ""),
    TOLD(Section.PEOPLE, "told", "Who was shown what", Shape.text(), Needed.ALWAYS, "The lamp, the way, where to switch off, what to do when it is out.");

    /** The headings. */
    public enum Section {
        SITE("Site and position"),
        BOARD("Board and way"),
        SUPPLY("Supply"),
        DEVICE("Protective device"),
        CABLE("Cable"),
        FUSED_UNIT("Fused connection unit and lamp"),
        CABINET("Cabinet"),
        CONTENT("Content"),
        READINGS("What was measured"),
        PEOPLE("People");

        private final String words;

        Section(String words) {
            this.words = words;
        }

        public String words() {
            return words;
        }

        public List<HandoverField> fields() {
            return Stream.of(HandoverField.values()).filter(field -> field.section == this).toList();
        }
    }

    /** What is typed into a field. */
    public enum Kind {
        TEXT,
        DECIMAL,
        /** A figure, or ">" and a figure: a lower bound. */
        READING,
        WHOLE,
        CHOICE,
        DAY,
        IP_CODE,
        /** The name of an edition of the tables. */
        EDITION,
        /** The SHA-256 of a picture that is kept; it is sent, not typed. */
        PHOTO
    }

    /** When a record cannot be signed without this field. */
    public enum Needed {
        ALWAYS,
        NEVER,
        /** Of use where a circuit is unlike most; without it the usual case counts, and what is worked out says so. */
        SELDOM,
        IF_SHUTDOWN,
        IF_LIVE,
        IF_TT,
        IF_RCBO,
        IF_CORE,
        IF_ARMOURED,
        IF_HEATED,
        IF_LOWEST,
        IF_HIGHEST,
        /** Of the date: where the part has a name. */
        IF_PART
    }

    /** @param value as stored @param words as read */
    public record Choice(String value, String words) {
    }

    /** @param unit  empty for what has none @param least, most both included */
    public record Shape(Kind kind, String unit, double least, double most, List<Choice> choices) {

        static Shape text() {
            return new Shape(Kind.TEXT, "", 0, 0, List.of());
        }

        static Shape decimal(String unit, double least, double most) {
            return new Shape(Kind.DECIMAL, unit, least, most, List.of());
        }

        static Shape reading(String unit, double least, double most) {
            return new Shape(Kind.READING, unit, least, most, List.of());
        }

        static Shape whole(String unit, int least, int most) {
            return new Shape(Kind.WHOLE, unit, least, most, List.of());
        }

        static Shape day() {
            return new Shape(Kind.DAY, "", 0, 0, List.of());
        }

        static Shape yesNo() {
            return choice("YES", "yes", "NO", "no");
        }

        static Shape choice(String... valuesAndWords) {
            Choice[] choices = new Choice[valuesAndWords.length / 2];
            Arrays.setAll(choices, i -> new Choice(valuesAndWords[2 * i], valuesAndWords[2 * i + 1]));
            return new Shape(Kind.CHOICE, "", 0, 0, List.of(choices));
        }
    }

    /**
     * What was made of something typed.
     *
     * @param value   none where nothing was typed, and where it cannot be read
     * @param problem what is wrong and what would be right; empty where nothing is
     */
    public record Read(Optional<HandoverValue> value, Optional<String> problem) {

        static Read of(HandoverValue value) {
            return new Read(Optional.of(value), Optional.empty());
        }

        static Read wrong(String sentence) {
            return new Read(Optional.empty(), Optional.of(sentence));
        }
    }

    /** The width of the column, and more than any of it needs. */
    public static final int LONGEST = 400;

    /**
     * The rows for dated parts of the content, as many as the register takes, so that nothing is lost between the two.
     *
     * @param until its date
     */
    public record PartRow(HandoverField name, HandoverField until) {
    }

    private static final List<PartRow> PARTS = Stream.of(values()).filter(field -> field.needed == Needed.IF_PART)
            .map(until -> new PartRow(values()[until.ordinal() - 1], until)).toList();

    /** In their order. */
    public static List<PartRow> parts() {
        return PARTS;
    }

    private static final Pattern FIGURE = Pattern.compile("(>?)\\s*([+\\-\\u2212]?)(\\d{1,9}(?:[.,]\\d{1,9})?)\\s*([^\\d.,].*)?");

    /** "1,000": a thousand to some, one to others; "0,350" is read by everybody as less than one. */
    private static final Pattern THOUSAND_OR_ONE = Pattern.compile("(?<![\\d.,])[1-9]\\d{0,2},\\d{3}(?!\\d)");

    private static final Pattern SHA_256 = Pattern.compile("[0-9a-f]{64}");

    private final Section section;
    private final String key;
    private final String label;
    private final Shape shape;
    private final Needed needed;
    private final String hint;

    HandoverField(Section section, String key, String label, Shape shape, Needed needed, String hint) {
        this.section = section;
        this.key = key;
        this.label = label;
        this.shape = shape;
        this.needed = needed;
        this.hint = hint;
    }

    /** Every way that the tables know, and any other. */
    private static Shape laid() {
        return Shape.choice(Stream.concat(Stream.of(Laying.values()).flatMap(way -> Stream.of(way.name(), way.words())), Stream.of("OTHER", "otherwise")).toArray(String[]::new));
    }

    /** IK00 to IK10 of IEC 62262, from memory. */
    private static Shape impact() {
        return Shape.choice(IntStream.rangeClosed(0, 10).mapToObj(code -> String.format(Locale.ROOT, "IK%02d", code)).flatMap(code -> Stream.of(code, code)).toArray(String[]::new));
    }

    public Section section() {
        return section;
    }

    /** As it is sent and stored. */
    public String key() {
        return key;
    }

    public String label() {
        return label;
    }

    public Shape shape() {
        return shape;
    }

    public Needed needed() {
        return needed;
    }

    /** Empty for none. */
    public String hint() {
        return hint;
    }

    public static Optional<HandoverField> of(String key) {
        return Stream.of(values()).filter(field -> field.key.equals(key)).findFirst();
    }

    /** What keeps it from being stored at all: it is too long, or is no line of text. */
    public List<Problem> unstorable(String typed) {
        return typed.isBlank() ? List.of() : Problem.ofText(key, label, typed, LONGEST);
    }

    /** Reads what was typed. */
    public Read read(String typed) {
        String text = typed.strip();
        if (text.isEmpty()) {
            return new Read(Optional.empty(), Optional.empty());
        }
        return switch (shape.kind()) {
            case PHOTO -> SHA_256.matcher(text).matches() ? Read.of(HandoverValue.text(text)) : Read.wrong("this names no photo; send one with the button beside it");
            case TEXT, EDITION -> Read.of(HandoverValue.text(text));
            case DECIMAL, READING, WHOLE -> figure(text);
            case CHOICE -> shape.choices().stream().filter(choice -> choice.value().equals(text)).findFirst()
                    .map(choice -> Read.of(HandoverValue.text(choice.value()))).orElseGet(() -> Read.wrong(quoted(text) + " is none of: "
                            + shape.choices().stream().map(Choice::words).collect(Collectors.joining("; "))));
            case DAY -> day(text);
            case IP_CODE -> IpCode.of(text).isPresent() ? Read.of(HandoverValue.text(text))
                    : Read.wrong(quoted(text) + " is no IP code, must be one like IP65, IPX4 or IP65/IP67");
        };
    }

    private Read figure(String text) {
        Matcher found = FIGURE.matcher(text);
        if (THOUSAND_OR_ONE.matcher(text).find()) {
            return Read.wrong(quoted(text) + " may be thousands or decimals; type it without the comma or with a point, in " + shape.unit());
        }
        if (!found.matches()) {
            return Read.wrong(quoted(text) + " is not a number, must be written like " + (shape.kind() == Kind.WHOLE ? "16" : "2.5 or 2,5") + ", in " + shape.unit());
        }
        boolean isMore = !found.group(1).isEmpty();
        String unit = found.group(4) == null ? "" : found.group(4).strip();
        if (isMore && shape.kind() != Kind.READING) {
            return Read.wrong(quoted(text) + " is a lower bound, must be a figure here, in " + shape.unit());
        }
        if (!unit.isEmpty() && !isUnit(unit)) {
            return Read.wrong("“" + unit + "” stands behind the number; this is in " + shape.unit() + ", type the number in " + shape.unit());
        }
        double value = Double.parseDouble(found.group(3).replace(',', '.')) * (found.group(2).isEmpty() || found.group(2).equals("+") ? 1 : -1);
        if (shape.kind() == Kind.WHOLE && value != Math.rint(value)) {
            return Read.wrong(quoted(text) + " is not a whole number, must be " + range());
        }
        if (value < shape.least() || value > shape.most()) {
            return Read.wrong(text + (unit.isEmpty() ? " " + shape.unit() : "") + ", must be " + range());
        }
        return Read.of(new HandoverValue(text, Optional.of(value), isMore, Optional.empty()));
    }

    private boolean isUnit(String unit) {
        return switch (shape.unit()) {
            case "mm²" -> unit.equals("mm²") || unit.equalsIgnoreCase("mm2");
            case "Ω" -> unit.equals("Ω") || unit.equals("\u2126") || unit.equalsIgnoreCase("ohm") || unit.equalsIgnoreCase("ohms");
            case "°C" -> unit.equals("°C") || unit.equals("C");
            default -> unit.equals(shape.unit());
        };
    }

    private Read day(String text) {
        try {
            LocalDate day = LocalDate.parse(text);
            return day.getYear() >= 2000 && day.getYear() <= 2199 ? Read.of(new HandoverValue(text, Optional.empty(), false, Optional.of(day)))
                    : Read.wrong("year " + day.getYear() + ", must be 2000 to 2199");
        } catch (DateTimeParseException notADay) {
            return Read.wrong(quoted(text) + " is not a day, must be written like 2026-11-25");
        }
    }

    private String range() {
        return written(shape.least()) + " to " + written(shape.most()) + " " + shape.unit();
    }

    private static String written(double value) {
        return value == Math.rint(value) ? Long.toString((long) value) : Double.toString(value);
    }

    private static String quoted(String typed) {
        return "“" + (typed.length() > 40 ? typed.substring(0, 40) + "…" : typed) + "”";
    }
}
