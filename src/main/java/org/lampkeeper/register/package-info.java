/**
 * What stands where, what feeds it, and who is told: entities and repositories of sites, boards, cabinets, circuits, sensors and people.
 * May know the pure rooms. Keeps: a sensor publishes only as itself; a person's name stands outside the journal.
 */
@NullMarked
package org.lampkeeper.register;

import org.jspecify.annotations.NullMarked;
