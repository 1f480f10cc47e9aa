package org.lampkeeper.web;

import java.util.List;

import org.lampkeeper.web.SupplyView.Link;

/**
 * A page that is one form.
 *
 * @param headline a sentence that says what the page is for
 * @param intro    more of it; empty for none
 * @param cautions what somebody must keep in mind who acts on this; none for most pages
 * @param action   where it is posted to
 * @param button   what pressing it does: "Register the site"
 * @param back     where to go without saving
 * @param more     what else can be done here, below the form
 */
record FormView(Frame frame, String headline, String intro, List<String> cautions, Form form, String action, String button, Link back,
        List<Link> more) {

    FormView {
        cautions = List.copyOf(cautions);
        more = List.copyOf(more);
    }
}
