package org.lampkeeper.web;

import java.util.HashSet;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.stream.Collectors;

/**
 * The supply page with every word decided.
 *
 * @param isQuiet  all is well: the headline is not raised
 * @param isDeaf   Lampkeeper itself hears nothing: all of it may be old
 * @param filter   what was typed into the filter; empty for all
 * @param liveFrom where the page hears of changes; carries the same wish as the page
 * @param pressed  what a demo button that was just pressed is going to cause; empty when none was
 * @param kept     the sites that the reader has already as they are here: they are named only
 */
record SupplyView(Frame frame, String headline, boolean isQuiet, boolean isDeaf, List<Remark> remarks, Optional<Link> action, List<SiteView> sites,
        String filter, boolean isFiltered, boolean hasFilter, String liveFrom, String pressed, boolean isDemo, Set<Long> kept) {

    /** The same, for a reader who has {@code before}. */
    SupplyView after(List<SiteView> before) {
        Set<SiteView> had = new HashSet<>(before);
        return new SupplyView(frame, headline, isQuiet, isDeaf, remarks, action, sites, filter, isFiltered, hasFilter, liveFrom, pressed, isDemo,
                sites.stream().filter(had::contains).map(SiteView::id).collect(Collectors.toSet()));
    }

    record Link(String text, String href) {
    }

    /** A sentence beside the headline; {@code href} is empty where it leads nowhere. {@code look}: {@code lost}, {@code unknown}, {@code plain}. */
    record Remark(String text, String href, String look) {
    }

    /**
     * {@code folded} says in words what is not drawn; empty when all is. {@code zoneName} is the zone's plain name, empty where the site above has said it. {@code duty}: who is on now and
     * next, empty without a rota; {@code nobody}: where nobody will be.
     */
    record SiteView(long id, String name, String zone, String zoneName, String outside, String duty, String nobody, String intake, String intakeMark,
            String folded, String unfold, List<BoardView> boards, List<LineView> withoutCircuit, List<NamedView> named) {
    }

    /**
     * {@code look}: {@code lit} while at least one way is, otherwise what all its ways are. {@code others}: the ways that are folded away;
     * {@code named}: those that are named and not drawn, because a page of so many lines could not be read.
     */
    record BoardView(long id, String name, String place, String look, String mark, String others, List<LineView> lines, List<NamedView> named,
            Optional<SwitchView> demo) {
    }

    /** Cabinets of the same state. {@code words}: how many, and which state; {@code look}: of their lamps. */
    record NamedView(String look, String words, List<NameView> names) {
    }

    /** {@code href}: the alarm where there is one, else the cabinet. {@code since}: clock time, empty where none belongs to the state. */
    record NameView(String code, String href, String since) {
    }

    /**
     * @param word    the state, where it needs a person: {@code LOST}; empty when lit
     * @param since   follows the word
     * @param note    more about the state
     * @param carried who was told, who has it; empty when nobody was
     * @param outlook how long the content stays within its limits, in the words of the message; empty while the lamp is lit
     */
    record LineView(long id, String code, String name, String content, String look, String spoken, Optional<Drawing> drawing, String word,
            Optional<Moment> since, String note, String carried, Optional<Link> alarm, String temperature, Optional<Moment> heard,
            String outlook, Optional<SwitchView> demo) {
    }

    /** A demo button: {@code action} is the address that it posts to. */
    record SwitchView(String text, String spoken, String action) {
    }
}
