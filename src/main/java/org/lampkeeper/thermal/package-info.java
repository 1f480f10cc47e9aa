/**
 * How long a cabinet stays warm or cool enough: forecast, the time constant learnt from cool-downs, and what the heater is worth.
 * Pure; may know nothing of ours but {@code quantity}. Keeps: no answer is invented; a forecast is a range and says so where there is none.
 */
@NullMarked
package org.lampkeeper.thermal;

import org.jspecify.annotations.NullMarked;
