package org.lampkeeper.message;

/** A message as it is read aloud: plain sentences, with units as words, and without what a voice spells out or stumbles over. Pure. */
final class SpokenText {

    private SpokenText() {
    }

    /** "3 A fuse" becomes "3 ampere fuse". {@code sentences}: one line for a locked screen. */
    static String of(String sentences) {
        String said = sentences.replaceAll("(\\d)\\s*mA\\b", "$1 milliampere").replaceAll("(\\d)\\s*A\\b", "$1 ampere")
                .replaceAll("\\s*°\\s*C\\b", " degrees Celsius").replaceAll("[–—−]", ", ").replaceAll("[<>{}\\[\\]|\\\\/*#_\"“”]", " ")
                .replaceAll("\\s+", " ").replaceAll(" ([,.;:!?])", "$1").strip();
        return said + (said.isEmpty() || said.matches(".*[.!?]") ? "" : ".");
    }
}
