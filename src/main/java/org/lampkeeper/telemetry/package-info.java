/**
 * From the broker to reports: the SenML codec, the subscriber with its leased slots, the set-based path for steady reports, and the
 * embedded broker of the default installation. May know {@code supply} and {@code register}; hands everything else to whoever implements
 * {@link org.lampkeeper.telemetry.Intake}. Keeps: acknowledged to the broker only after commit; a retained report is never a fresh one.
 */
@NullMarked
package org.lampkeeper.telemetry;

import org.jspecify.annotations.NullMarked;
