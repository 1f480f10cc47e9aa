package org.lampkeeper.web;

import java.net.URI;

/** The kinds of problem that a program can be told. {@link #uri()} is stable: a program may rely on it. Listed in docs/api.md. */
public enum ProblemType {
    NOT_UNDERSTOOD("not-understood", 400, "This request cannot be understood."),
    UNREADABLE("unreadable", 400, "The body is not JSON that can be read."),
    WRONG_PARAMETER("wrong-parameter", 400, "A parameter of the address or a header has a value that it cannot have."),
    NOT_SIGNED_IN("not-signed-in", 401, "Nobody has signed in."),
    NOT_PERMITTED("not-allowed-to-you", 403, "You may not do this."),
    NOT_FOUND("not-found", 404, "There is nothing at this address."),
    NOT_ALLOWED("not-allowed", 405, "This address does not take that."),
    NOT_ACCEPTABLE("not-acceptable", 406, "There is no answer of the kind that was asked for."),
    UNDER_WAY("under-way", 409, "The first request with this key is still under way."),
    TAKEN_ALREADY("taken-already", 409, "Somebody else has this alarm."),
    NOT_NEEDED("not-needed", 409, "There is nothing to do that for any more."),
    ENDED("ended", 410, "This address has come to its end."),
    CHANGED_MEANWHILE("changed-meanwhile", 412, "It was changed meanwhile."),
    TOO_LARGE("too-large", 413, "The body is too large."),
    UNSUPPORTED_TYPE("unsupported-type", 415, "The body is not of a kind that is taken here."),
    INVALID("invalid", 422, "What was sent cannot be taken as it is."),
    KEY_REUSED("key-reused", 422, "This key was used for another request."),
    VERSION_MISSING("version-missing", 428, "The request does not say which version it is about."),
    TOO_MANY("too-many", 429, "There are too many requests."),
    FAILED("failed", 500, "Lampkeeper could not answer this.");

    private final String slug;
    private final int status;
    private final String title;

    ProblemType(String slug, int status, String title) {
        this.slug = slug;
        this.status = status;
        this.title = title;
    }

    public URI uri() {
        return URI.create("urn:lampkeeper:problem:" + slug);
    }

    public int status() {
        return status;
    }

    /** The same for every problem of the type. */
    public String title() {
        return title;
    }
}
