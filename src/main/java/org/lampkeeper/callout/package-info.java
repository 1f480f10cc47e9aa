/**
 * Who is told, in which order and when: the call-out list of a site, climbed turn by turn until somebody takes the alarm.
 * Pure; may know the types of {@code alarm}. Keeps: everybody on the list is told, and after the last the list starts again.
 */
@NullMarked
package org.lampkeeper.callout;

import org.jspecify.annotations.NullMarked;
