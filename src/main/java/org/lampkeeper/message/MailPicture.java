package org.lampkeeper.message;

/**
 * A drawing that a mail shows beside its words.
 *
 * @param png   the image, kept small: a telephone in the open fetches it too
 * @param words what is in it, in whole sentences, for whoever does not see it
 */
public record MailPicture(byte[] png, String words) {
}
