package org.lampkeeper.alarm;

import java.util.ArrayList;
import java.util.List;

import org.lampkeeper.supply.Reading;

/**
 * From what is known of the neighbours to where the line is most likely broken, and to places to look at in order. An unknown neighbour
 * is neither healthy nor lost: it never supports a cause, and the advice names it.
 *
 * <p>The decision, first match wins:
 * <ol>
 * <li>the sensor runs on its battery and a person saw the lamp lit: the sensor's own supply;
 * <li>the sensor says that there is supply and a person saw the lamp out: the lamp, or the sensor is wrong;
 * <li>cabinets on other boards have lost it too, and none of the site is known to have it: the intake;
 * <li>no other cabinet on its board: its way or the board's supply, nobody can tell;
 * <li>another cabinet on its board has supply: its own way, even if more are lost, since the board as a whole has supply;
 * <li>another cabinet on its board has lost it: the board's supply;
 * <li>nothing is known of the others on its board: no cause is named.
 * </ol>
 *
 * <p>What <em>you may look</em> says is for anybody and asks for eyes only. Whatever is behind a cover is for an electrician.
 */
public final class WhereToLook {

    private final Surroundings known;
    private final String board;
    private final String way;
    private final List<String> healthy;
    private final List<String> lost;
    private final List<String> unknown;
    private final List<String> healthyElsewhere;
    private final List<String> lostElsewhere;
    private final List<String> unknownElsewhere;

    private WhereToLook(Surroundings known) {
        this.known = known;
        board = Words.board(known.board());
        way = Words.way(known.way());
        healthy = names(known.onBoard(), Reading.HEALTHY);
        lost = names(known.onBoard(), Reading.LOST);
        unknown = names(known.onBoard(), Reading.UNKNOWN);
        healthyElsewhere = names(known.elsewhereOnSite(), Reading.HEALTHY);
        lostElsewhere = names(known.elsewhereOnSite(), Reading.LOST);
        unknownElsewhere = names(known.elsewhereOnSite(), Reading.UNKNOWN);
    }

    public static Advice advise(Surroundings known) {
        return new WhereToLook(known).advice();
    }

    private Advice advice() {
        Cause cause = cause();
        return new Advice(cause, summary(cause), youMayLook(cause), electricianOnly(cause), cautions(cause));
    }

    private Cause cause() {
        if (known.sensorOnBatteryAndLampSeenLit()) {
            return Cause.SENSOR_SUPPLY;
        }
        if (known.sensorHealthyAndLampSeenOut()) {
            return Cause.LAMP_ITSELF;
        }
        if (!lostElsewhere.isEmpty() && healthy.isEmpty() && healthyElsewhere.isEmpty()) {
            return Cause.SITE_INTAKE;
        }
        if (known.onBoard().isEmpty()) {
            return Cause.ONLY_CABINET_ON_BOARD;
        }
        if (!healthy.isEmpty()) {
            return Cause.OWN_WAY;
        }
        return lost.isEmpty() ? Cause.NEIGHBOURS_NOT_KNOWN : Cause.BOARD_SUPPLY;
    }

    private String summary(Cause cause) {
        return switch (cause) {
            case ONLY_CABINET_ON_BOARD -> known.cabinet() + " is the only cabinet on " + board
                    + ", so it cannot be told from here whether its own way or the supply of the board is at fault." + restOfSite();
            case OWN_WAY -> ownWay();
            case BOARD_SUPPLY -> boardSupply() + restOfSite();
            case SITE_INTAKE -> siteIntake();
            case NEIGHBOURS_NOT_KNOWN -> "It is not known whether " + Words.list(unknown) + " on the same board " + has(unknown)
                    + " supply, so it cannot be told from here whether the way of " + known.cabinet()
                    + " or the supply of the board is at fault." + restOfSite();
            case SENSOR_SUPPLY -> "The sensor of " + known.cabinet() + " says that the supply is lost, but somebody saw the lamp lit:"
                    + " most likely only the sensor has lost its own supply. If the lamp is out when you look, the supply is lost.";
            case LAMP_ITSELF -> "The sensor of " + known.cabinet() + " says that there is supply, but somebody saw the lamp out: either the lamp"
                    + " itself has failed, or the sensor is wrong. Treat the supply as lost until an electrician has measured it." + notKnown(unknown);
        };
    }

    private String ownWay() {
        String evidence = othersHaveSupply();
        if (lost.isEmpty()) {
            return evidence + ", so it is most likely the way of " + known.cabinet() + " itself." + lostElsewhere() + notKnown(unknown);
        }
        return evidence + ", so the board as a whole is supplied. " + Words.list(lost) + " " + has(lost)
                + " lost it too: look at each way, and at what these ways share on part of the board."
                + lostElsewhere() + notKnown(unknown);
    }

    private String boardSupply() {
        if (unknown.isEmpty()) {
            return (lost.size() == 1 ? "Both" : "All " + Words.number(lost.size() + 1)) + " cabinets on " + board
                    + " have lost supply, so it is most likely the supply of the board.";
        }
        return Words.list(lost) + " on the same board " + has(lost)
                + " lost supply too, so it is most likely the supply of the board or of a part of it." + notKnown(unknown);
    }

    private String siteIntake() {
        List<String> silent = new ArrayList<>(unknown);
        silent.addAll(unknownElsewhere);
        if (silent.isEmpty()) {
            return "Every cabinet of the site has lost supply, on more than one board, so it is most likely the intake of the site.";
        }
        return "Cabinets on more than one board have lost supply and none is known to have it, so it is most likely the intake of the site."
                + notKnown(silent);
    }

    /** What the other boards tell about the intake, where the cause may lie that far up. */
    private String restOfSite() {
        if (!healthyElsewhere.isEmpty()) {
            return " Elsewhere on the site " + Words.list(healthyElsewhere) + " " + has(healthyElsewhere)
                    + " supply, so the intake is supplied." + lostElsewhere() + notKnown(unknownElsewhere);
        }
        if (!unknownElsewhere.isEmpty()) {
            return " It may be the intake: nothing is known of the other boards of the site.";
        }
        return " It may be the intake: no cabinet of the site hangs on another board.";
    }

    private List<String> youMayLook(Cause cause) {
        String cabinet = "The lamp" + Words.inBrackets(known.lampPlace()) + " and the cabinet" + Words.inBrackets(known.cabinetPlace())
                + ": damage, water, a smell? Then stay clear and keep others away.";
        String ownHandle = boardWithPlace() + ": " + way + ", " + known.device() + ". Is its handle down?";
        String otherHandles = boardWithPlace() + ": is the handle of the main switch or of any other device down?";
        String othersOnBoard = "Other things fed from " + board + ", such as lights in the same room: do they work?";
        List<String> places = new ArrayList<>();
        switch (cause) {
            case OWN_WAY -> {
                places.add(cabinet);
                places.add(ownHandle + " " + othersHaveSupply() + ".");
            }
            case ONLY_CABINET_ON_BOARD, NEIGHBOURS_NOT_KNOWN -> {
                places.add(cabinet);
                places.add(ownHandle);
                places.add(othersOnBoard);
            }
            case BOARD_SUPPLY -> {
                places.add(otherHandles);
                places.add(othersOnBoard);
                if (healthyElsewhere.isEmpty()) {
                    places.add(intakeHandle());
                }
                places.add(cabinet);
            }
            case SITE_INTAKE -> {
                places.add("Street lights and windows around: is the power out there too? Then the network operator must know.");
                places.add(intakeHandle());
                places.add(otherHandles);
                places.add(cabinet);
            }
            case SENSOR_SUPPLY -> {
                places.add(cabinet + " Is the lamp still lit?");
                places.add("The sensor and its lead, from where you stand: damage, water, a lead that hangs loose?");
            }
            case LAMP_ITSELF -> {
                places.add(cabinet + " Is the lamp still out?");
                places.add(ownHandle);
            }
        }
        if (!unknown.isEmpty() && cause != Cause.SENSOR_SUPPLY) {
            places.add("The " + (unknown.size() == 1 ? "lamp" : "lamps") + " of " + Words.list(unknown)
                    + ": lit or out? That tells the way from the board.");
        }
        return places;
    }

    private List<String> electricianOnly(Cause cause) {
        List<String> places = new ArrayList<>();
        String boardFeed = "The supply of " + board + ": its main switch, the device and the cable that feed it.";
        String ownDevice = "On " + board + ": " + way + ", " + known.device() + ", and its terminals.";
        switch (cause) {
            case OWN_WAY -> {
                if (!lost.isEmpty()) {
                    places.add("On " + board + ": what " + way + " shares with the ways of " + Words.list(lost)
                            + ", such as a phase, a busbar section or a common residual-current device.");
                }
            }
            case ONLY_CABINET_ON_BOARD, NEIGHBOURS_NOT_KNOWN -> {
                places.add(ownDevice);
                places.add(boardFeed);
            }
            case BOARD_SUPPLY -> {
                places.add(boardFeed);
                places.add(ownDevice);
            }
            case SITE_INTAKE -> {
                places.add(intake() + ": main switch and protection. What is sealed is for the network operator.");
                places.add(boardFeed);
                places.add(ownDevice);
            }
            case SENSOR_SUPPLY -> places.add("The sensor's own supply: its connection on the load side of the fuse, and its lead.");
            case LAMP_ITSELF -> places.add("The supply on the load side of the fuse, by an instrument; then the lamp itself, and the sensor's connection.");
        }
        places.add("The fused unit" + Words.inBrackets(known.fusedUnitPlace()) + ": " + known.fuseAmpere() + " A fuse.");
        places.add("The cable between " + board + " and the fused unit" + Words.inBrackets(known.cable()) + ".");
        places.add("Water in the cabinet; its heater; its flex.");
        return places;
    }

    private List<String> cautions(Cause cause) {
        return cautions(cause, known.content());
    }

    /** What holds for whoever sees a lamp out and has nothing else to go by, such as without a signal. */
    public static List<String> cautions(String content) {
        return cautions(Cause.NEIGHBOURS_NOT_KNOWN, content);
    }

    private static List<String> cautions(Cause cause, String content) {
        List<String> cautions = new ArrayList<>();
        cautions.add("Anything wet, burnt, cracked or buzzing, or metal that tingles: keep away, and keep others away.");
        cautions.add("Covers of the board, the fused unit and the cabinet's wiring stay closed: they are for an electrician,"
                + " with the supply isolated, locked off and proved dead.");
        cautions.add("If a device has tripped: one reset at most, by an authorised person, and only if nothing is wet, damaged or hot."
                + " If it trips again, leave it off and call the electrician. No repeated resets.");
        cautions.add("Never fit a bigger fuse. Never tape a handle, never bypass anything.");
        cautions.add(cause == Cause.SENSOR_SUPPLY
                ? "A lamp may glow without a sound supply: only an electrician's instrument proves it."
                : "A lamp that is out may itself be broken: it does not prove that anything is dead.");
        cautions.add("A lamp that is lit again does not mean that what the cabinet holds" + Words.inBrackets(content)
                + " is fit for use: its own checks stay.");
        cautions.add("This advice is worked out from reports and may be wrong. Lampkeeper is not an emergency service:"
                + " in an emergency call the local emergency number.");
        return cautions;
    }

    private String othersHaveSupply() {
        if (lost.isEmpty() && unknown.isEmpty() && healthy.size() > 1) {
            return "The other " + Words.number(healthy.size()) + " cabinets on this board have supply";
        }
        return Words.list(healthy) + " on this board " + has(healthy) + " supply";
    }

    private String boardWithPlace() {
        return Words.capital(board) + Words.inBrackets(known.boardPlace(), known.boardAccess());
    }

    private String intake() {
        return "The intake of the site" + Words.inBrackets(known.intake());
    }

    private String intakeHandle() {
        return intake() + ": is the handle of its main switch down?";
    }

    private String lostElsewhere() {
        return lostElsewhere.isEmpty() ? "" : " Lost too, on another board: " + Words.list(lostElsewhere) + ".";
    }

    private static String notKnown(List<String> names) {
        return names.isEmpty() ? "" : " Not known: " + Words.list(names) + ".";
    }

    private static String has(List<String> names) {
        return names.size() == 1 ? "has" : "have";
    }

    private static List<String> names(List<Neighbour> neighbours, Reading reading) {
        return neighbours.stream().filter(neighbour -> neighbour.reading() == reading).map(Neighbour::name).toList();
    }
}
