package org.lampkeeper.access;

import java.util.EnumSet;
import java.util.Set;

/** What a person is to a site. */
public enum Role {
    ADMINISTRATOR("administrator", EnumSet.allOf(Right.class)),
    DUTY_MANAGER("duty manager", EnumSet.of(Right.SEE, Right.TAKE, Right.HOLD_BACK, Right.EDIT_CALL_OUT)),
    SITE_STAFF("site staff", EnumSet.of(Right.SEE, Right.TAKE)),
    INSTALLER("installer", EnumSet.of(Right.SEE, Right.TAKE, Right.HOLD_BACK, Right.EDIT_PLANT)),
    RESPONSIBLE_PERSON("responsible person", EnumSet.of(Right.SEE, Right.HOLD_BACK, Right.EDIT_CALL_OUT, Right.EDIT_SITE, Right.READ_JOURNAL));

    private final String words;
    private final Set<Right> rights;

    Role(String words, Set<Right> rights) {
        this.words = words;
        this.rights = Set.copyOf(rights);
    }

    /** As it is written on a page. */
    public String words() {
        return words;
    }

    public Set<Right> rights() {
        return rights;
    }
}
