/**
 * What may be said about one supply: from a sensor's reports, its link and its silence to a reading, a confirmed loss, a dip.
 * Pure; may know {@code quantity}. Keeps: silence is unknown and never healthy; doubt never clears; a late fact never rewrites history.
 */
@NullMarked
package org.lampkeeper.supply;

import org.jspecify.annotations.NullMarked;
