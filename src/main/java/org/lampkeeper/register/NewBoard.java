package org.lampkeeper.register;

import java.util.List;

/**
 * A board as entered.
 *
 * @param siteId where it stands; it may feed cabinets of other sites too
 * @param access key or code for the room or housing that it is in
 */
public record NewBoard(long siteId, String name, String place, String access) {

    /** Empty when it can be registered. */
    public List<Problem> problems() {
        return new Problems()
                .text("name", "name", name, 120)
                .text("place", "place", place, 200)
                .text("access", "key or code", access, 200)
                .list();
    }
}
