package org.lampkeeper.web;

import java.time.Instant;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.List;

import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.check.Answer;
import org.lampkeeper.check.CheckKind;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.watch.CheckDesk.Recorded;
import org.lampkeeper.watch.CheckDesk.Told;
import org.lampkeeper.web.CheckReading.Look;

/** What a phone says of looks that it fetched ahead, and of what became of what it kept. Pure. */
final class KeptWords {

    private static final String CALL = " Call whoever is on duty, and tell them what you saw.";

    private KeptWords() {
    }

    /** Where it is, and by when; with the day of its window, for it is read later. */
    static List<String> what(Look look, CabinetSheet cabinet, Instant now) {
        ZoneId zone = cabinet.site().zone();
        List<String> what = new ArrayList<>(List.of("From " + Sentences.clock(look.due().opens(), zone, now) + " to " + Sentences.clock(look.due().closes(), zone, now)
                + " (" + SupplyPage.zoneName(zone) + "), as of " + Sentences.day(now, zone, now) + ".",
                Sentences.capital(cabinet.content()) + ", label " + cabinet.code() + ": " + cabinet.place() + ".", "The lamp: " + cabinet.lampPlace() + "."));
        if (look.kind() == CheckKind.TEST_BUTTON) {
            what.add("Do not press the test button without a signal: nobody would know that you did it, and the lost supply would call people out. Press it where"
                    + " there is a signal, or say here what you saw when you pressed it.");
        }
        return what;
    }

    /** What became of what was kept. */
    static String told(Told told, Answer answer, Instant now) {
        return switch (told.taken()) {
            case RECORDED -> told.recorded().map(it -> recorded(it, answer, now)).orElseThrow();
            case REPEATED -> told.recorded().map(it -> recorded(it, answer, now)).orElse("Recorded before. Its cabinet is not in use any more.");
            case NOT_ASKED -> "Not recorded: you are not asked for this look." + CALL;
            case OVER -> "Not recorded: nobody is asked for this look any more, since its plan has ended or its cabinet is not in use." + CALL;
            case NO_ANSWER -> "Not recorded: this cannot be said of what is looked at." + CALL;
        };
    }

    /** @param now whose phone it is now */
    static String ofSomebodyElse(String now) {
        return "Not recorded: somebody else said it, before this phone became that of " + now + "." + CALL;
    }

    private static String recorded(Recorded recorded, Answer answer, Instant now) {
        ZoneId zone = recorded.cabinet().site().zone();
        String late = recorded.time().isReceivedLate() ? ", received at " + Sentences.clock(recorded.time().receivedAt(), zone, now) : "";
        StringBuilder words = new StringBuilder("Recorded of " + recorded.cabinet().name() + ": " + CheckResource.words(answer, recorded.kind()) + ", looked at "
                + Sentences.clock(recorded.time().at(), zone, now) + late + ".");
        if (answer.isLook()) {
            words.append(recorded.isCounted() ? " It counts as looked in time." : " It does not count as looked in time; it is kept.");
        }
        if (!recorded.isLatest()) {
            words.append(" Somebody has looked later, and what they saw stands.");
        } else if (answer == Answer.OUT || answer == Answer.DAMAGED) {
            words.append(" Whoever is on the call-out list is told now.");
        }
        if (recorded.others()) {
            words.append(" Somebody else has answered this look, too; both are kept.");
        }
        recorded.time().clockWrongBy().ifPresent(by -> words.append(" The clock of this phone was ").append(Sentences.ago(by.abs())).append(by.isNegative() ? " ahead" : " behind")
                .append("; the time of looking was put right by that. Set the clock of the phone."));
        return words.toString();
    }
}
