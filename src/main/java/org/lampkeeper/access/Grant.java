package org.lampkeeper.access;

import java.util.OptionalLong;

/**
 * One role of one person.
 *
 * @param siteId where it holds; empty: at every site, those to come included
 */
public record Grant(Role role, OptionalLong siteId) {

    public static Grant everywhere(Role role) {
        return new Grant(role, OptionalLong.empty());
    }

    public static Grant at(Role role, long siteId) {
        return new Grant(role, OptionalLong.of(siteId));
    }
}
