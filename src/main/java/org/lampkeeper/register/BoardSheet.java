package org.lampkeeper.register;

/** What a message or a page needs about a board. {@code siteId} is where it stands, which need not be the site of what it feeds. */
public record BoardSheet(long id, long siteId, String siteName, String name, String place, String access, int version) {
}
