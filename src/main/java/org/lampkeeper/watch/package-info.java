/**
 * Runs the core: each fact and each deadline in one transaction with state, alarm, call-out, journal entry and outgoing message.
 * May know every room below it. Keeps: nothing is told that is not stored, nothing stored that must be told is forgotten.
 */
@NullMarked
package org.lampkeeper.watch;

import org.jspecify.annotations.NullMarked;
