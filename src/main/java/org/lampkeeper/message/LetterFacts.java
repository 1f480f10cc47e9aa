package org.lampkeeper.message;

import java.time.Instant;
import java.time.ZoneId;
import java.util.List;
import java.util.Optional;

import org.lampkeeper.alarm.Advice;
import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.alarm.LostElsewhere;
import org.lampkeeper.alarm.Scope;
import org.lampkeeper.journal.Head;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.SiteSheet;

/**
 * All that a letter about an alarm can say. Nothing is looked up while it is written.
 *
 * @param since       when the condition began, as observed
 * @param inside      the last temperature known inside the cabinet
 * @param advice      where to look; empty for a kind of alarm that has none of its own
 * @param toldAlready names of those who were told before, in order, without the reader
 * @param next        who is told after the reader
 * @param link        opens the alarm's page for the reader
 * @param journal     the journal's head, for whoever keeps the letter
 * @param together    the cabinets that were lost together, where there is more than the one that the letter is about
 * @param elsewhere   what is lost at other sites that share a board or an intake
 * @param outlook     how long the content stays within its limits; empty where the alarm is about no content
 */
public record LetterFacts(AlarmKind kind, About about, Instant since, Instant now, Optional<Inside> inside, Optional<Advice> advice,
        List<String> toldAlready, Optional<Next> next, String link, Head journal, Optional<Together> together,
        List<LostElsewhere> elsewhere, Optional<Outlook> outlook) {

    /** What is told without an outlook. */
    public LetterFacts(AlarmKind kind, About about, Instant since, Instant now, Optional<Inside> inside, Optional<Advice> advice,
            List<String> toldAlready, Optional<Next> next, String link, Head journal, Optional<Together> together, List<LostElsewhere> elsewhere) {
        this(kind, about, since, now, inside, advice, toldAlready, next, link, journal, together, elsewhere, Optional.empty());
    }

    /** About one thing alone. */
    public LetterFacts(AlarmKind kind, About about, Instant since, Instant now, Optional<Inside> inside, Optional<Advice> advice,
            List<String> toldAlready, Optional<Next> next, String link, Head journal) {
        this(kind, about, since, now, inside, advice, toldAlready, next, link, journal, Optional.empty(), List.of());
    }

    /**
     * Cabinets of one site that were lost together.
     *
     * @param lost  all that have no supply now, by board
     * @param fresh those of them of which the reader was not told before; all of them in a first letter
     * @param back  labels of those that have it again, though nobody has taken them
     */
    public record Together(List<OnBoard> lost, List<OnBoard> fresh, List<String> back) {
        public Together {
            lost = List.copyOf(lost);
            fresh = List.copyOf(fresh);
            back = List.copyOf(back);
        }

        int count() {
            return count(lost);
        }

        static int count(List<OnBoard> boards) {
            return boards.stream().mapToInt(each -> each.codes().size()).sum();
        }
    }

    /**
     * Some of the cabinets on a board.
     *
     * @param board  its name, with the site where it stands where that is another
     * @param codes  labels of the cabinets
     * @param ofAll how many cabinets of the site hang on it
     */
    public record OnBoard(String board, List<String> codes, int ofAll) {
        public OnBoard {
            codes = List.copyOf(codes);
        }
    }

    /** What the alarm is about; it fits the scope of its kind. */
    public sealed interface About permits OfCabinet, OfSite, OfInstallation {

        /** In whose clock times are told. */
        ZoneId zone();

        Scope scope();
    }

    public record OfCabinet(CabinetSheet cabinet) implements About {
        @Override
        public ZoneId zone() {
            return cabinet.site().zone();
        }

        @Override
        public Scope scope() {
            return Scope.CABINET;
        }
    }

    /** @param cabinets those of the site, in the order in which they should be looked at */
    public record OfSite(SiteSheet site, List<CabinetSheet> cabinets) implements About {
        public OfSite {
            cabinets = List.copyOf(cabinets);
        }

        @Override
        public ZoneId zone() {
            return site.zone();
        }

        @Override
        public Scope scope() {
            return Scope.SITE;
        }
    }

    /**
     * Lampkeeper itself.
     *
     * @param detail what is known of the fault, such as the broker's address; one sentence
     */
    public record OfInstallation(ZoneId zone, String detail) implements About {
        @Override
        public Scope scope() {
            return Scope.INSTALLATION;
        }
    }

    /** @param celsius as the sensor reported it */
    public record Inside(double celsius, Instant observedAt) {
    }

    /**
     * The forecast in words.
     *
     * @param sentences what is to be expected, and from what; one or more
     * @param brief     the same in as few words as can be: "below 0 °C 02:40-04:10"; empty where nothing is forecast
     * @param eased     when what was measured was within its limits again
     */
    public record Outlook(List<String> sentences, Optional<String> brief, Optional<Instant> eased) {
        public Outlook {
            sentences = List.copyOf(sentences);
        }
    }

    /** @param reader whether it is the reader again, the list having come round */
    public record Next(String name, Instant at, boolean reader) {
    }

    public LetterFacts {
        toldAlready = List.copyOf(toldAlready);
        elsewhere = List.copyOf(elsewhere);
        if (about.scope() != kind.scope()) {
            throw new IllegalArgumentException("letter about " + kind + ": is about a " + kind.scope() + ", not about a " + about.scope());
        }
    }
}
