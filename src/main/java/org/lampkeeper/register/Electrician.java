package org.lampkeeper.register;

import java.util.Optional;

/** Who may open the electrical parts of a site. */
public record Electrician(String name, Optional<String> phone) {
}
