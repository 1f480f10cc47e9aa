package org.lampkeeper.register;

import java.util.List;
import java.util.Optional;
import java.util.regex.Pattern;

/** A person as entered. Without a mail address nothing can be sent to them yet. */
public record NewPerson(String name, Optional<String> mail, Optional<String> phone) {

    // Only what no mail server could take. Whether it arrives is shown by sending, not by a longer pattern.
    private static final Pattern MAIL = Pattern.compile("[^\\s@<>\"]+@[^\\s@<>\"]+");

    /** Empty when it can be registered. */
    public List<Problem> problems() {
        return new Problems()
                .text("name", "name", name, 120)
                .text("mail", "mail address", mail, 254)
                .must("mail", mail.isEmpty() || MAIL.matcher(mail.get()).matches(), "mail address is not one, must look like name@domain")
                .text("phone", "phone number", phone, 40)
                .list();
    }
}
