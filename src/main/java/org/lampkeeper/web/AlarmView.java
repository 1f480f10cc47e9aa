package org.lampkeeper.web;

import java.util.List;
import java.util.Optional;

/**
 * The alarm page with every word decided.
 *
 * @param look      {@code lost} while the condition is there and serious, {@code unknown} for what nobody knows, {@code plain} when over
 * @param standing  who has it, who is told next and when
 * @param thanks    what the reader's own press has just done; empty when they pressed nothing
 * @param take      where "I take this" posts to; empty where there is nothing to take or no link was used
 * @param cannot    where "I can't" posts to; likewise, and for who has it and cannot after all
 * @param arrivals  the same as {@code take}, each with the time at which the reader will be there
 * @param mine      what whoever has it may do besides; empty for everybody else
 * @param why       why there are no buttons, where that has to be said
 * @param shelve    the page that holds it back; empty for who may not, and where there is nothing to hold
 * @param attended  what has been said of what was done; empty while nobody is asked yet
 * @param warm      what is known of the temperature, and how long it lasts
 * @param plot      the last day and the forecast, with the same figures as a table
 * @param moreTogether how many more were told of together than are shown; empty for none
 * @param elsewhere what is lost at other sites that share its origin, one sentence each
 * @param lookFirst the advice; empty for an alarm that is not about a cabinet's supply
 * @param duty      who is on now and next at the site; empty without a rota
 * @param nobody    where nobody will be; empty where somebody always is
 */
record AlarmView(Frame frame, String look, String spoken, String headline, String what, String standing, Optional<Phone> hasItPhone, String thanks,
        String evidence, String take, String cannot, List<Arrival> arrivals, Optional<Mine> mine, String why, String shelve, Optional<Attended> attended, List<String> warm, Optional<Plotted> plot, List<Together> together, String moreTogether, List<String> elsewhere, Optional<LookFirst> lookFirst, List<Relay> relay, String duty, String nobody,
        String zone, String zoneName) {

    /** {@code href}: with spaces taken out, as a telephone link wants it. Number and {@code href} are empty where none is known. */
    record Phone(String name, String number, String href) {
        static Phone of(String name, String number) {
            return new Phone(name, number, number.isEmpty() ? "" : "tel:" + number.replaceAll("[^+0-9]", ""));
        }
    }

    /** {@code visits}: what the record says so far, in the order in which people went; {@code another}: where a further one begins, or empty. */
    record Attended(String state, String look, String href, String button, List<Visit> visits, String another) {
    }

    /** {@code title} and {@code href}, where it is corrected, are empty while there is but one. */
    record Visit(String title, String href, List<AttendanceWords.Line> lines) {
    }

    /** {@code words}: "in 20 min"; {@code clock}: what the clock says there then. */
    record Arrival(String href, String words, String clock) {
    }

    /**
     * @param there  where "I am there" posts to; empty once an arrival is recorded, and where there is no place to go to
     * @param handOn where "hand on to" posts to
     * @param others to whom
     */
    record Mine(String there, String handOn, List<Other> others) {
    }

    record Other(long personId, String name) {
    }

    record Together(String headline, String href) {
    }

    /** {@code access}: keys and codes, one sentence each. */
    record LookFirst(String summary, List<String> youMayLook, int electricianFrom, List<String> electricianOnly, List<String> cautions,
            List<String> access, Optional<Phone> electrician, Optional<Drawing> drawing, String board, String boardLook, String boardMark,
            String cabinet, String content) {
    }

    /** One step of the relay; {@code what} somebody was told, or empty; {@code isTold}: somebody was told; {@code isAhead}: it has not happened yet. */
    record Relay(Moment at, String text, String what, String look, boolean isTold, boolean isAhead) {
    }
}
