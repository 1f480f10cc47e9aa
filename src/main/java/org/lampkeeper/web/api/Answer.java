package org.lampkeeper.web.api;

import java.util.Optional;

/**
 * What a POST is answered.
 *
 * @param location where what was made is found
 * @param kept     the body that a repeat is answered: without what is told only once
 */
record Answer(int status, Optional<String> location, Optional<String> tag, Object body, Object kept) {

    static Answer created(String location, long version, Object body) {
        return new Answer(201, Optional.of(location), Optional.of(Versions.tag(version)), body, body);
    }

    static Answer done(Object body) {
        return new Answer(200, Optional.empty(), Optional.empty(), body, body);
    }

    /** The same, but a repeat is answered with {@code other}. */
    Answer keeping(Object other) {
        return new Answer(status, location, tag, body, other);
    }
}
