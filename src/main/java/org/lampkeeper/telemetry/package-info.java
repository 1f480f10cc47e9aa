/**
 * What sensors say: from a broker's message to a dated report, or to a refusal that names its reason.
 * May know {@code supply} and {@code register}. Keeps: an old report never counts as a fresh one; bad input disturbs no neighbour.
 */
@NullMarked
package org.lampkeeper.telemetry;

import org.jspecify.annotations.NullMarked;
