/**
 * What is handed out as a file or on paper: a person's duty as a calendar, labels, the record of a hand-over, the month of a site. May know
 * register and journal. Says nothing that its reader may not know, and reads no clock.
 */
@NullMarked
package org.lampkeeper.report;

import org.jspecify.annotations.NullMarked;
