/**
 * The interface for programs, below {@code /api}: the same things and rules as the pages, as JSON. Part of the room {@code web}.
 * Keeps: a caller sees only their sites; nothing is recorded by a GET; a repeat with the same key records nothing twice; a change names
 * the version that it is about.
 */
@NullMarked
package org.lampkeeper.web.api;

import org.jspecify.annotations.NullMarked;
