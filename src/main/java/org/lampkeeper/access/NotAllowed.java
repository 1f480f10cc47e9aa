package org.lampkeeper.access;

/** The caller may not do this; the message says in one sentence why, for the caller to read. Nothing was changed. */
public final class NotAllowed extends RuntimeException {

    private static final long serialVersionUID = 1L;

    public NotAllowed(String why) {
        super(why);
    }
}
