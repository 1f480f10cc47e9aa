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
    public List<String> problems() {
        return new Problems("board " + name)
                .text("name", name, 120)
                .text("place", place, 200)
                .text("access", access, 200)
                .list();
    }
}
