package org.lampkeeper.web.csv;

/**
 * Something that keeps a file from being taken.
 *
 * @param row    as a spreadsheet counts: the header is row 1; 0 where it is about the file
 * @param column empty where it is about the whole row
 * @param text   what is wrong and what would be right
 */
public record Wrong(int row, String column, String text) {
}
