/**
 * Values with a unit that several rooms share, range-checked where they come into being.
 * May know nothing. Keeps: no answer is invented.
 */
@NullMarked
package org.lampkeeper.quantity;

import org.jspecify.annotations.NullMarked;
