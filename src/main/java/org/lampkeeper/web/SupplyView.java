package org.lampkeeper.web;

import java.util.List;
import java.util.Optional;

/**
 * The supply page with every word decided.
 *
 * @param isQuiet  all is well: the headline is not raised
 * @param isDeaf   Lampkeeper itself hears nothing: all of it may be old
 * @param filter   what was typed into the filter; empty for all
 * @param liveFrom where the page hears of changes; carries the same wish as the page
 * @param pressed  what a demo button that was just pressed is going to cause; empty when none was
 * @param leftOut  that more was found than is drawn; empty when all is drawn
 */
record SupplyView(Frame frame, String headline, boolean isQuiet, boolean isDeaf, List<Remark> remarks, Optional<Link> action, List<SiteView> sites,
        String filter, boolean isFiltered, boolean hasFilter, String liveFrom, String pressed, String leftOut, boolean isDemo) {

    record Link(String text, String href) {
    }

    /** A sentence beside the headline; {@code href} is empty where it leads nowhere. {@code look}: {@code lost}, {@code unknown}, {@code plain}. */
    record Remark(String text, String href, String look) {
    }

    /** {@code folded} says in words what is not drawn; empty when all is. {@code zone} is the zone's plain name. */
    record SiteView(long id, String name, String zone, String zoneName, String outside, String intake, String intakeMark, String folded,
            String unfold, List<BoardView> boards, List<LineView> withoutCircuit) {
    }

    /** {@code look}: {@code lit} while at least one way is, otherwise what all its ways are. {@code others}: the ways that are not drawn. */
    record BoardView(long id, String name, String place, String look, String mark, String others, List<LineView> lines,
            Optional<SwitchView> demo) {
    }

    /**
     * @param word    the state, where it needs a person: {@code LOST}; empty when lit
     * @param since   follows the word
     * @param note    more about the state
     * @param carried who was told, who has it; empty when nobody was
     */
    record LineView(long id, String code, String name, String content, String look, String spoken, Optional<Drawing> drawing, String word,
            Optional<Moment> since, String note, String carried, Optional<Link> alarm, String temperature, Optional<Moment> heard,
            Optional<SwitchView> demo) {
    }

    /** A demo button: {@code action} is the address that it posts to. */
    record SwitchView(String text, String spoken, String action) {
    }
}
