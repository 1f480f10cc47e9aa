package org.lampkeeper.register;

import java.util.Optional;

/**
 * How a person is named and reached.
 *
 * @param reference what the journal calls this person; name, mail and phone are never written there
 */
public record Contact(long personId, String reference, String name, Optional<String> mail, Optional<String> phone, int version) {
}
