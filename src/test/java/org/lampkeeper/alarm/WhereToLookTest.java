package org.lampkeeper.alarm;

import java.util.ArrayList;
import java.util.List;
import java.util.regex.Pattern;
import java.util.stream.Stream;

import net.jqwik.api.Arbitraries;
import net.jqwik.api.Arbitrary;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.Provide;
import net.jqwik.api.Tuple;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.EnumSource;

import org.lampkeeper.supply.Reading;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

class WhereToLookTest {

    /** What only a trained person may do; none of it may be asked of anybody else. */
    private static final Pattern HANDS_ON = Pattern.compile("\\b(open|opens|remove|unscrew|undo|lift|take off|take out|touch|feel|inside"
            + "|reach|test|measure|probe|meter|reset|switch (it )?(on|off|back)|turn|push|press|pull|plug|unplug|flip|replace|fit|change"
            + "|try|tighten|disconnect|connect|isolate)\\b", Pattern.CASE_INSENSITIVE);
    /** What is behind a cover. */
    private static final Pattern LIVE_PARTS = Pattern.compile(
            "\\b(fused unit|fuse|cable|terminals?|busbar|flex|heater|wiring|protection)\\b", Pattern.CASE_INSENSITIVE);

    /**
     * The whole decision. Neighbours on the board, then elsewhere on the site: h healthy, l lost, u unknown. Rows by our own reasoning
     * from what hangs on what; an unknown neighbour is never counted as either.
     */
    @ParameterizedTest
    @CsvSource({
            // nobody else on the board
            "'',  '',   ONLY_CABINET_ON_BOARD",
            "'',  h,    ONLY_CABINET_ON_BOARD",
            "'',  u,    ONLY_CABINET_ON_BOARD",
            "'',  hl,   ONLY_CABINET_ON_BOARD",
            "'',  hu,   ONLY_CABINET_ON_BOARD",
            "'',  hlu,  ONLY_CABINET_ON_BOARD",
            "'',  l,    SITE_INTAKE",
            "'',  ll,   SITE_INTAKE",
            "'',  lu,   SITE_INTAKE",
            // one healthy on the board: the board as a whole has supply
            "h,   '',   OWN_WAY",
            "hh,  '',   OWN_WAY",
            "hl,  '',   OWN_WAY",
            "hu,  '',   OWN_WAY",
            "hlu, '',   OWN_WAY",
            "h,   h,    OWN_WAY",
            "h,   l,    OWN_WAY",
            "h,   u,    OWN_WAY",
            "hl,  l,    OWN_WAY",
            // all on the board lost
            "l,   '',   BOARD_SUPPLY",
            "ll,  '',   BOARD_SUPPLY",
            "l,   h,    BOARD_SUPPLY",
            "ll,  hl,   BOARD_SUPPLY",
            "l,   u,    BOARD_SUPPLY",
            "l,   hu,   BOARD_SUPPLY",
            "l,   l,    SITE_INTAKE",
            "ll,  ll,   SITE_INTAKE",
            "l,   lu,   SITE_INTAKE",
            // lost and unknown on the board
            "lu,  '',   BOARD_SUPPLY",
            "lu,  h,    BOARD_SUPPLY",
            "lu,  u,    BOARD_SUPPLY",
            "lu,  hl,   BOARD_SUPPLY",
            "lu,  l,    SITE_INTAKE",
            // nothing known on the board
            "u,   '',   NEIGHBOURS_NOT_KNOWN",
            "uu,  '',   NEIGHBOURS_NOT_KNOWN",
            "u,   h,    NEIGHBOURS_NOT_KNOWN",
            "u,   hl,   NEIGHBOURS_NOT_KNOWN",
            "u,   u,    NEIGHBOURS_NOT_KNOWN",
            "u,   l,    SITE_INTAKE",
            "u,   lu,   SITE_INTAKE"})
    void theCauseFollowsFromWhatIsKnown(String onBoard, String elsewhere, Cause expected) {
        assertThat(advise(onBoard, elsewhere).cause()).isEqualTo(expected);
    }

    @ParameterizedTest
    @CsvSource({"'', ''", "h, h", "l, l", "u, u", "hlu, hlu"})
    void aLampThatSomebodySawLitPointsToTheSensorWhateverTheNeighboursSay(String onBoard, String elsewhere) {
        Advice advice = WhereToLook.advise(surroundings(onBoard, elsewhere, true));

        assertThat(advice.cause()).isEqualTo(Cause.SENSOR_SUPPLY);
        assertThat(advice.summary()).isEqualTo("The sensor of North Stair 2 says that the supply is lost, but somebody saw the lamp lit:"
                + " most likely only the sensor has lost its own supply. If the lamp is out when you look, the supply is lost.");
    }

    @ParameterizedTest
    @CsvSource(delimiter = '|', textBlock = """
            '' | ''  | North Stair 2 is the only cabinet on board A, so it cannot be told from here whether its own way or the supply \
            of the board is at fault. It may be the intake: no cabinet of the site hangs on another board.
            '' | h   | North Stair 2 is the only cabinet on board A, so it cannot be told from here whether its own way or the supply \
            of the board is at fault. Elsewhere on the site Far 1 has supply, so the intake is supplied.
            '' | u   | North Stair 2 is the only cabinet on board A, so it cannot be told from here whether its own way or the supply \
            of the board is at fault. It may be the intake: nothing is known of the other boards of the site.
            h  | ''  | Near 1 on this board has supply, so it is most likely the way of North Stair 2 itself.
            hh | ''  | The other two cabinets on this board have supply, so it is most likely the way of North Stair 2 itself.
            hu | ''  | Near 1 on this board has supply, so it is most likely the way of North Stair 2 itself. Not known: Near 2.
            h  | l   | Near 1 on this board has supply, so it is most likely the way of North Stair 2 itself. Lost too, on another \
            board: Far 1.
            hl | ''  | Near 1 on this board has supply, so the board as a whole is supplied. Near 2 has lost it too: look at each way, \
            and at what these ways share on part of the board.
            hllu | '' | Near 1 on this board has supply, so the board as a whole is supplied. Near 2 and Near 3 have lost it too: look \
            at each way, and at what these ways share on part of the board. Not known: Near 4.
            l  | h   | Both cabinets on board A have lost supply, so it is most likely the supply of the board. Elsewhere on the site \
            Far 1 has supply, so the intake is supplied.
            ll | hlu | All three cabinets on board A have lost supply, so it is most likely the supply of the board. Elsewhere on the \
            site Far 1 has supply, so the intake is supplied. Lost too, on another board: Far 2. Not known: Far 3.
            ll | ''  | All three cabinets on board A have lost supply, so it is most likely the supply of the board. It may be the \
            intake: no cabinet of the site hangs on another board.
            ll | u   | All three cabinets on board A have lost supply, so it is most likely the supply of the board. It may be the \
            intake: nothing is known of the other boards of the site.
            lu | hh  | Near 1 on the same board has lost supply too, so it is most likely the supply of the board or of a part of it. \
            Not known: Near 2. Elsewhere on the site Far 1 and Far 2 have supply, so the intake is supplied.
            l  | l   | Every cabinet of the site has lost supply, on more than one board, so it is most likely the intake of the site.
            lu | lu  | Cabinets on more than one board have lost supply and none is known to have it, so it is most likely the intake \
            of the site. Not known: Near 2 and Far 2.
            u  | h   | It is not known whether Near 1 on the same board has supply, so it cannot be told from here whether the way of \
            North Stair 2 or the supply of the board is at fault. Elsewhere on the site Far 1 has supply, so the intake is supplied.
            uu | ''  | It is not known whether Near 1 and Near 2 on the same board have supply, so it cannot be told from here whether \
            the way of North Stair 2 or the supply of the board is at fault. It may be the intake: no cabinet of the site hangs on \
            another board.
            """)
    void theSummarySaysWhatIsKnownAndWhatIsNot(String onBoard, String elsewhere, String expected) {
        assertThat(advise(onBoard, elsewhere).summary()).isEqualTo(expected);
    }

    @Test
    void anOwnWayIsFollowedFromTheCabinetToTheBoardAndThenToTheFuse() {
        Advice advice = advise("hh", "h");

        assertThat(advice.youMayLook()).containsExactly(
                "The lamp (beside the handle) and the cabinet (at the foot of the stair): damage, water, a smell?"
                        + " Then stay clear and keep others away.",
                "Board A (quay kiosk, key 7): way 4, C16, 30 mA. Is its handle down? The other two cabinets on this board have supply.");
        assertThat(advice.electricianOnly()).containsExactly(
                "The fused unit (below the cabinet): 3 A fuse.",
                "The cable between board A and the fused unit (2.5 mm2, 18 m).",
                "Water in the cabinet; its heater; its flex.");
        assertThat(advice.firstElectricianNumber()).isEqualTo(3);
    }

    @Test
    void aCabinetAloneOnItsBoardIsFollowedToTheBoardsOwnSupply() {
        Advice advice = advise("", "h");

        assertThat(advice.youMayLook()).hasSize(3).element(1)
                .isEqualTo("Board A (quay kiosk, key 7): way 4, C16, 30 mA. Is its handle down?");
        assertThat(advice.youMayLook()).last().isEqualTo("Other things fed from board A, such as lights in the same room: do they work?");
        assertThat(advice.electricianOnly()).startsWith("On board A: way 4, C16, 30 mA, and its terminals.",
                "The supply of board A: its main switch, the device and the cable that feed it.");
    }

    @Test
    void waysThatShareALossAreLookedAtForWhatTheyShare() {
        assertThat(advise("hl", "").electricianOnly()).first().isEqualTo(
                "On board A: what way 4 shares with the ways of Near 2, such as a phase, a busbar section or a common"
                        + " residual-current device.");
    }

    @Test
    void aBoardIsLookedAtBeforeItsCabinets() {
        Advice advice = advise("ll", "h");

        assertThat(advice.youMayLook()).first()
                .isEqualTo("Board A (quay kiosk, key 7): is the handle of the main switch or of any other device down?");
        assertThat(advice.electricianOnly()).first()
                .isEqualTo("The supply of board A: its main switch, the device and the cable that feed it.");
    }

    @ParameterizedTest
    @CsvSource({"ll, h, false", "ll, '', true", "ll, u, true", "ll, ll, true", "hh, '', false"})
    void theIntakeIsLookedAtOnlyWhereNothingShowsThatItIsSupplied(String onBoard, String elsewhere, boolean expected) {
        assertThat(advise(onBoard, elsewhere).youMayLook()
                .contains("The intake of the site (cupboard behind the kiosk): is the handle of its main switch down?"))
                .isEqualTo(expected);
    }

    @Test
    void aSiteIsLookedAtFromTheStreetInwards() {
        Advice advice = advise("l", "l");

        assertThat(advice.youMayLook()).first().asString().startsWith("Street lights and windows around");
        assertThat(advice.electricianOnly()).first().asString()
                .startsWith("The intake of the site (cupboard behind the kiosk): main switch");
    }

    @ParameterizedTest
    @CsvSource({
            "u, h, The lamp of Near 1: lit or out? That tells the way from the board.",
            "uu, '', The lamps of Near 1 and Near 2: lit or out? That tells the way from the board.",
            "hu, '', The lamp of Near 2: lit or out? That tells the way from the board.",
            "lu, h, The lamp of Near 2: lit or out? That tells the way from the board."})
    void theLampOfAnUnknownNeighbourIsWorthALook(String onBoard, String elsewhere, String place) {
        assertThat(advise(onBoard, elsewhere).youMayLook()).last().isEqualTo(place);
    }

    @Test
    void aLitLampIsLookedAtAgainAndThenTheSensor() {
        Advice advice = WhereToLook.advise(surroundings("h", "h", true));

        assertThat(advice.youMayLook()).first().asString().endsWith("Is the lamp still lit?");
        assertThat(advice.electricianOnly()).first()
                .isEqualTo("The sensor's own supply: its connection on the load side of the fuse, and its lead.");
        assertThat(advice.cautions()).anyMatch(each -> each.contains("only an electrician's instrument proves it"));
    }

    @Test
    void lampThatWasSeenOutWhileTheSensorSaysSupplyIsTreatedAsALoss() {
        Advice advice = WhereToLook.advise(seenOut());

        assertThat(advice.cause()).isEqualTo(Cause.LAMP_ITSELF);
        assertThat(advice.summary()).isEqualTo("The sensor of North Stair 2 says that there is supply, but somebody saw the lamp out: either the lamp itself"
                + " has failed, or the sensor is wrong. Treat the supply as lost until an electrician has measured it.");
        assertThat(advice.youMayLook()).first().asString().endsWith("Is the lamp still out?");
        assertThat(advice.electricianOnly()).first().asString().startsWith("The supply on the load side of the fuse");
        assertThat(advice.cautions()).anyMatch(each -> each.contains("A lamp that is out may itself be broken"));
    }

    @ParameterizedTest
    @EnumSource(Cause.class)
    void afterTheWayAndTheFuseComeWaterHeaterAndFlex(Cause cause) {
        List<String> places = one(cause).electricianOnly();

        assertThat(places).last().isEqualTo("Water in the cabinet; its heater; its flex.");
        assertThat(places.get(places.size() - 3)).isEqualTo("The fused unit (below the cabinet): 3 A fuse.");
    }

    @ParameterizedTest
    @EnumSource(Cause.class)
    void everyAdviceCarriesTheCautions(Cause cause) {
        String cautions = String.join("\n", one(cause).cautions());

        assertThat(cautions).contains("wet, burnt, cracked or buzzing, or metal that tingles: keep away, and keep others away",
                "one reset at most, by an authorised person, and only if nothing is wet, damaged or hot",
                "If it trips again, leave it off and call the electrician. No repeated resets.",
                "Never fit a bigger fuse. Never tape a handle, never bypass anything.",
                "isolated, locked off and proved dead",
                "does not mean that what the cabinet holds (defibrillator) is fit for use",
                "not an emergency service", "the local emergency number");
        assertThat(cautions).containsPattern("A lamp that is out may itself be broken|A lamp may glow without a sound supply");
    }

    @Test
    void theWordsThatGuardTheFirstPartWouldBeNoticed() {
        assertThat(HANDS_ON.matcher("Open the cover and measure.").find()).isTrue();
        assertThat(HANDS_ON.matcher("Switch it on again.").find()).isTrue();
        assertThat(LIVE_PARTS.matcher("The fused unit: 3 A fuse.").find()).isTrue();
    }

    @Property
    void nobodyUntrainedIsSentToLiveParts(@ForAll("surroundings") Surroundings known) {
        for (String place : WhereToLook.advise(known).youMayLook()) {
            assertThat(HANDS_ON.matcher(place).results().map(result -> result.group()).toList()).as(place).isEmpty();
            assertThat(LIVE_PARTS.matcher(place).results().map(result -> result.group()).toList()).as(place).isEmpty();
        }
    }

    @Property
    void theAdviceIsCompleteWhateverIsKnown(@ForAll("surroundings") Surroundings known) {
        Advice advice = WhereToLook.advise(known);

        assertThat(advice.youMayLook()).hasSizeBetween(2, 5).doesNotHaveDuplicates();
        assertThat(advice.electricianOnly()).hasSizeBetween(3, 6).doesNotHaveDuplicates();
        assertThat(advice.firstElectricianNumber()).isEqualTo(advice.youMayLook().size() + 1);
        assertThat(all(advice)).allSatisfy(text -> {
            assertThat(text).matches("(?s)[A-Z].*[.?]");
            assertThat(text).doesNotContain("  ", "()", " .", "null");
        });
    }

    @Property
    void noCauseRestsOnAnUnknownNeighbour(@ForAll("surroundings") Surroundings known) {
        Cause cause = WhereToLook.advise(known).cause();

        if (cause == Cause.OWN_WAY) {
            assertThat(known.onBoard()).anyMatch(each -> each.reading() == Reading.HEALTHY);
        }
        if (cause == Cause.BOARD_SUPPLY) {
            assertThat(known.onBoard()).anyMatch(each -> each.reading() == Reading.LOST)
                    .noneMatch(each -> each.reading() == Reading.HEALTHY);
        }
        if (cause == Cause.SITE_INTAKE) {
            assertThat(known.elsewhereOnSite()).anyMatch(each -> each.reading() == Reading.LOST);
            assertThat(Stream.concat(known.onBoard().stream(), known.elsewhereOnSite().stream()))
                    .noneMatch(each -> each.reading() == Reading.HEALTHY);
        }
    }

    @Property
    void anUnknownNeighbourOnTheBoardIsNamedAndNeverSaidToHaveSupply(@ForAll("surroundings") Surroundings known) {
        Advice advice = WhereToLook.advise(known);
        List<String> unknown = known.onBoard().stream().filter(each -> each.reading() == Reading.UNKNOWN).map(Neighbour::name).toList();

        if (advice.cause() != Cause.SENSOR_SUPPLY && unknown.size() == 1) {
            assertThat(advice.summary()).contains(unknown.get(0));
        }
        for (String name : unknown) {
            assertThat(all(advice)).noneMatch(text -> text.contains(name + " on this board has supply"));
        }
    }

    @Test
    void whatNobodyFilledInIsLeftOut() {
        Surroundings bare = new Surroundings("Cray Point 1", "", "", " ", "Board C", "", "", "way 3", "C16", 3, "", "", "",
                List.of(new Neighbour("Cray Point 2", Reading.HEALTHY)), List.of(), false, false);

        Advice advice = WhereToLook.advise(bare);

        assertThat(advice.youMayLook()).containsExactly(
                "The lamp and the cabinet: damage, water, a smell? Then stay clear and keep others away.",
                "Board C: way 3, C16. Is its handle down? Cray Point 2 on this board has supply.");
        assertThat(advice.electricianOnly()).startsWith("The fused unit: 3 A fuse.", "The cable between board C and the fused unit.");
    }

    @Test
    void manyNeighboursAreCounted() {
        assertThat(advise("u".repeat(20), "").summary())
                .startsWith("It is not known whether Near 1, Near 2, Near 3 and 17 more on the same board");
        assertThat(advise("h".repeat(20), "").summary()).startsWith("The other 20 cabinets on this board have supply");
    }

    @Test
    void aFuseOfNothingIsRefused() {
        assertThatThrownBy(() -> new Surroundings("Cray Point 1", "", "", "", "C", "", "", "3", "C16", 0, "", "", "", List.of(),
                List.of(), false, false))
                .isInstanceOf(IllegalArgumentException.class).hasMessageContaining("Cray Point 1").hasMessageContaining("0 A");
    }

    @Provide
    Arbitrary<Surroundings> surroundings() {
        Arbitrary<String> readings = Arbitraries.strings().withChars("hlu").ofMaxLength(5);
        return readings.flatMap(onBoard -> readings.flatMap(elsewhere -> Arbitraries.frequencyOf(
                Tuple.of(6, Arbitraries.just(false)), Tuple.of(1, Arbitraries.just(true)))
                .map(seenLit -> surroundings(onBoard, elsewhere, seenLit))));
    }

    private static Advice one(Cause cause) {
        return switch (cause) {
            case ONLY_CABINET_ON_BOARD -> advise("", "h");
            case OWN_WAY -> advise("h", "h");
            case BOARD_SUPPLY -> advise("l", "h");
            case SITE_INTAKE -> advise("l", "l");
            case NEIGHBOURS_NOT_KNOWN -> advise("u", "h");
            case SENSOR_SUPPLY -> WhereToLook.advise(surroundings("h", "h", true));
            case LAMP_ITSELF -> WhereToLook.advise(seenOut());
        };
    }

    private static List<String> all(Advice advice) {
        List<String> all = new ArrayList<>(advice.youMayLook());
        all.addAll(advice.electricianOnly());
        all.addAll(advice.cautions());
        all.add(advice.summary());
        return all;
    }

    private static Advice advise(String onBoard, String elsewhere) {
        return WhereToLook.advise(surroundings(onBoard, elsewhere, false));
    }

    private static Surroundings surroundings(String onBoard, String elsewhere, boolean seenLit) {
        return new Surroundings("North Stair 2", "defibrillator", "at the foot of the stair", "beside the handle", "A", "quay kiosk",
                "key 7", "4", "C16, 30 mA", 3, "below the cabinet", "2.5 mm2, 18 m", "cupboard behind the kiosk",
                neighbours("Near ", onBoard),
                neighbours("Far ", elsewhere), seenLit, false);
    }

    private static Surroundings seenOut() {
        return new Surroundings("North Stair 2", "defibrillator", "at the foot of the stair", "beside the handle", "A", "quay kiosk",
                "key 7", "4", "C16, 30 mA", 3, "below the cabinet", "2.5 mm2, 18 m", "cupboard behind the kiosk",
                neighbours("Near ", "h"), neighbours("Far ", "h"), false, true);
    }

    private static List<Neighbour> neighbours(String name, String readings) {
        List<Neighbour> neighbours = new ArrayList<>();
        for (char each : readings.toCharArray()) {
            Reading reading = each == 'h' ? Reading.HEALTHY : each == 'l' ? Reading.LOST : Reading.UNKNOWN;
            neighbours.add(new Neighbour(name + (neighbours.size() + 1), reading));
        }
        return neighbours;
    }
}
