package org.lampkeeper.message;

/**
 * A paper that a mail carries along.
 *
 * @param name  of the file, ending in {@code .pdf}; plain letters
 * @param pdf   the paper
 * @param words what is most of account in it, as sections of a letter: each a heading in capitals and its lines, ended by {@code \n}
 */
public record MailPaper(String name, byte[] pdf, String words) {
}
