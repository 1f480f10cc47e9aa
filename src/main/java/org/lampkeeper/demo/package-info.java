/**
 * Lets a newcomer see it work: an invented lake-ferry authority in an empty database, and what its sensors would send.
 * May know register and the simulator. Keeps: a database that holds anything is never touched; sensor secrets are random here too.
 */
@NullMarked
package org.lampkeeper.demo;

import org.jspecify.annotations.NullMarked;
