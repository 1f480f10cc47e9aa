/**
 * The arithmetic of a circuit: what a figure should be, and what a measured one amounts to under the tables of a named edition.
 * Pure; may know nothing of ours but {@code quantity}. Keeps: unrounded values decide; what was not given is never assumed; no verdict is a
 * certificate.
 */
@NullMarked
package org.lampkeeper.electrical;

import org.jspecify.annotations.NullMarked;
