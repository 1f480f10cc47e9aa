/**
 * What people are told: composing the words, the outbox that remembers them, and the channel that carries them.
 * May know {@code alarm}, {@code callout}, {@code register} and {@code journal}. Keeps: nothing is told that is not stored, nothing stored
 * that must be told is forgotten, every outcome is journalled, and opening a link changes nothing.
 */
@NullMarked
package org.lampkeeper.message;

import org.jspecify.annotations.NullMarked;
