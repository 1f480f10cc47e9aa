package org.lampkeeper.message;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Event;

/**
 * Whether letters that ask for a look leave just now. Looks open by the thousand at the same minute, and each letter on its way takes more than
 * the opening of a look: so the letters wait until the last is open.
 */
@ApplicationScoped
public class LookLetters {

    private final Event<Outbox.Put> put;
    private volatile boolean isWaiting;

    LookLetters(Event<Outbox.Put> put) {
        this.put = put;
    }

    /** They leave again, at once, when {@code wait} is false. Of this instance alone, and not beyond its end. */
    public void letWait(boolean wait) {
        boolean goesOn = isWaiting && !wait;
        isWaiting = wait;
        if (goesOn) {
            put.fire(new Outbox.Put());
        }
    }

    boolean isWaiting() {
        return isWaiting;
    }
}
