/**
 * The transactions that run the core: a fact comes in, the pure rooms decide, and state, alarm, call-out, journal entry and outgoing
 * message are written in one commit. May know every room but {@code web}, {@code report} and {@code demo}. Keeps: one open alarm per
 * cabinet and kind; nothing told that is not stored; suppression ends by itself; an acknowledgement clears nothing.
 */
@NullMarked
package org.lampkeeper.watch;

import org.jspecify.annotations.NullMarked;
