package org.lampkeeper.register;

/** Everything that a message or a page needs about a cabinet: what it is, where, what feeds it, how to get in and whom to call. */
public record CabinetSheet(long cabinetId, String code, String name, String place, String content, String lampPlace, SiteSheet site,
        BoardSheet board, CircuitSheet circuit, int version) {

    /** Whether the board stands at another site, so that whoever goes there needs that site's access too. */
    public boolean isFedFromAnotherSite() {
        return board.siteId() != site.id();
    }
}
