/**
 * Measures how fast the packaged service is, against a bare loop in the same run where the figure depends on the machine.
 * May know everything; nothing knows it. Timings never fail a run; a wrong result does. See docs/speed.md.
 */
@NullMarked
package org.lampkeeper.bench;

import org.jspecify.annotations.NullMarked;
