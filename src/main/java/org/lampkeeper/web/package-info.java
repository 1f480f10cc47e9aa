/**
 * The pages: supply, alarm, alarms, messages; reads from all rooms, and hands what a person does to {@code watch}.
 * May know everything it reads and {@code demo}. Keeps: opening a link changes nothing; unknown is never shown as healthy.
 */
@NullMarked
package org.lampkeeper.web;

import org.jspecify.annotations.NullMarked;
