/**
 * Conditions that need a person: kinds, priority, the life cycle of IEC 62682, where to look first, and the sentences that say it.
 * Pure; may know {@code supply}, {@code thermal} and the types of {@code check}.
 * Keeps: an acknowledgement never clears, a recovery never acknowledges; no answer is invented; nobody untrained is sent to live parts.
 */
@NullMarked
package org.lampkeeper.alarm;

import org.jspecify.annotations.NullMarked;
