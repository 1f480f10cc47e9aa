package org.lampkeeper.web;

import java.time.Instant;
import java.time.ZoneOffset;

/**
 * What surrounds every page.
 *
 * @param title  for the browser's tab
 * @param place  which entry of the navigation is this page's; empty for none
 * @param clock  the time of the server, at the sites where they share a zone
 * @param iso    the same, for the machine
 * @param alarms how many alarms are open, or over without anybody having said what was done; 0 shows no figure
 * @param reader for whom a page behind a link is, which then has no navigation; empty for any other page
 */
record Frame(String title, String place, String clock, String iso, int alarms, String reader) {

    /** Of a page that nobody need have signed in for: no place, no time at any site. */
    static Frame plain(String title, Instant now) {
        return new Frame(title, "", "", Moment.of(now, ZoneOffset.UTC, now).iso(), 0, "");
    }

    /** The same of a page behind a link, or on a phone, of this person. */
    Frame readBy(String name) {
        return new Frame(title, place, clock, iso, alarms, name);
    }
}
