/**
 * A person looking at the lamp: when a look is due, in which window, what an answer is worth and what follows from it or from none.
 * Pure; may know nothing of ours but {@code quantity}. Keeps: a look that is late never rewrites what was missed; no answer is invented.
 */
@NullMarked
package org.lampkeeper.check;

import org.jspecify.annotations.NullMarked;
