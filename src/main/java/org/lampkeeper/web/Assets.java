package org.lampkeeper.web;

import java.io.IOException;
import java.io.InputStream;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.util.HexFormat;
import java.util.List;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.inject.Named;

/** A mark of what the stylesheet and the scripts contain: in their addresses, so that no browser keeps an old one after an upgrade. */
@Named("assets")
@ApplicationScoped
class Assets {

    private static final List<String> FILES = List.of("lampkeeper.css", "live.js", "zone.js", "password.js", "phone.js", "handover.js", "watch.js",
            "lamp.svg");

    private final String mark;

    Assets() {
        this.mark = markOf(FILES);
    }

    public String mark() {
        return mark;
    }

    private static String markOf(List<String> files) {
        try {
            MessageDigest digest = MessageDigest.getInstance("SHA-256");
            for (String file : files) {
                try (InputStream content = Assets.class.getResourceAsStream("/META-INF/resources/static/" + file)) {
                    if (content == null) {
                        throw new IllegalStateException("static/" + file + " is missing from the program");
                    }
                    digest.update(content.readAllBytes());
                }
            }
            return HexFormat.of().formatHex(digest.digest(), 0, 6);
        } catch (IOException | NoSuchAlgorithmException e) {
            throw new IllegalStateException("the stylesheet and scripts cannot be read from the program", e);
        }
    }
}
