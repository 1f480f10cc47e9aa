package org.lampkeeper.web;

import java.util.Optional;
import java.util.OptionalLong;

import jakarta.enterprise.context.RequestScoped;

import org.lampkeeper.access.Caller;
import org.lampkeeper.access.CurrentCaller;

/** Who asks in this request, once {@link AccessFilter} has found out. */
@RequestScoped
class RequestCaller implements CurrentCaller {

    private Optional<Caller> caller = Optional.empty();
    private OptionalLong sessionId = OptionalLong.empty();

    void is(Caller asking, OptionalLong inSession) {
        caller = Optional.of(asking);
        sessionId = inSession;
    }

    /** Of a person that has signed in; none for a token. */
    OptionalLong sessionId() {
        return sessionId;
    }

    @Override
    public Optional<Caller> find() {
        return caller;
    }

    @Override
    public Caller get() {
        return caller.orElseThrow(() -> new IllegalStateException("nobody has signed in, and this address was answered all the same"));
    }
}
