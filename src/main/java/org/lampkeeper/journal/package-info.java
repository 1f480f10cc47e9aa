/**
 * The append-only, hash-chained record of everything observed, decided and told.
 * Knows nothing of the other rooms: what happened arrives as a phrase, three ids and a JSON body without names of people.
 * Keeps the rule that what was accepted is durable, and that history is appended to, never rewritten: a change of it is noticed.
 */
@NullMarked
package org.lampkeeper.journal;

import org.jspecify.annotations.NullMarked;
