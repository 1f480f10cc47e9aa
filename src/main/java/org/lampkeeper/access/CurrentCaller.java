package org.lampkeeper.access;

import java.util.Optional;

/** Who asks in the present request; to be injected. */
public interface CurrentCaller {

    /** Empty where nobody has signed in. */
    Optional<Caller> find();

    /**
     * For addresses that are answered only to somebody signed in.
     *
     * @throws IllegalStateException when nobody is: the address should have been refused before
     */
    Caller get();
}
