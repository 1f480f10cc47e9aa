package org.lampkeeper.message;

/** The links that messages hold. */
public final class Links {

    private Links() {
    }

    /**
     * Where people reach this from outside. The base may have a path of its own, where a proxy serves several things under one name.
     *
     * @param path begins with a slash
     */
    public static String to(String path, MessageConfig config) {
        return config.baseUrl().toString().replaceFirst("/+$", "") + path;
    }
}
