/**
 * The register as CSV: files out, and files in after a dry run. Part of the room {@code web}.
 * Keeps: a file is taken as a whole or not at all; what is exported comes back the same; no cell of an export is run by a spreadsheet.
 */
@NullMarked
package org.lampkeeper.web.csv;

import org.jspecify.annotations.NullMarked;
