package org.lampkeeper.web;

/** How a lamp is drawn, with the word that goes with it. Lit only while a fresh report says so. */
enum Lamp {
    LIT, OUT, NOT_KNOWN;

    /** Names the symbol and the colours. */
    String look() {
        return switch (this) {
            case LIT -> "lit";
            case OUT -> "lost";
            case NOT_KNOWN -> "unknown";
        };
    }

    /** For who cannot see the drawing. */
    String spoken() {
        return switch (this) {
            case LIT -> "lamp lit";
            case OUT -> "lamp out";
            case NOT_KNOWN -> "lamp not known";
        };
    }
}
