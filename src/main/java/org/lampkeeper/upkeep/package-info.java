/**
 * Taking the database of an installation along: a backup while it runs, putting it back, and moving it to PostgreSQL.
 * Knows tables and no meaning of them, so that a new table needs nothing here.
 */
@NullMarked
package org.lampkeeper.upkeep;

import org.jspecify.annotations.NullMarked;
