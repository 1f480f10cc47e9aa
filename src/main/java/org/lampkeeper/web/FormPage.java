package org.lampkeeper.web;

import java.net.URI;
import java.time.Clock;
import java.time.Instant;
import java.time.ZoneId;
import java.util.Map;
import java.util.function.Supplier;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;

import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.register.ChangedMeanwhile;
import org.lampkeeper.register.Contact;
import org.lampkeeper.register.NotRegistered;
import org.lampkeeper.register.People;

/** Answers with a page that is one form: 200 to fill in, 422 with what is wrong, 409 when it was changed meanwhile, 303 after success. */
@ApplicationScoped
class FormPage {

    private static final MediaType HTML = MediaType.TEXT_HTML_TYPE.withCharset("UTF-8");

    private final SupplyReading supply;
    private final People people;
    private final Clock clock;

    FormPage(SupplyReading supply, People people, Clock clock) {
        this.supply = supply;
        this.people = people;
        this.clock = clock;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance form(FormView view);
    }

    /** What surrounds a page of this title; see {@link SupplyPage#frame}. */
    Frame frame(String title, String place) {
        return SupplyPage.frame(title, place, supply.outline(), clock.instant());
    }

    static Response show(FormView view) {
        return answer(200, view);
    }

    /** 422 when something is to be put right, 409 when somebody else was faster. */
    static Response refused(FormView view) {
        return answer(view.form().isFine() && !view.form().changedBy().isEmpty() ? 409 : 422, view);
    }

    static Response done(String address) {
        return Response.seeOther(URI.create(address)).build();
    }

    /**
     * Makes the change that a form asks for and leads to {@code done}; what is not fine, refused or meanwhile changed is shown again with
     * what was typed.
     *
     * @param stored what is stored now, asked only when somebody else was faster
     * @param zone   whose clocks say when that was
     */
    Response save(Form form, Runnable change, String done, Supplier<Map<String, String>> stored, ZoneId zone, Supplier<FormView> again) {
        if (!form.isFine()) {
            return refused(again.get());
        }
        try {
            change.run();
            return done(done);
        } catch (NotRegistered refused) {
            form.problems(refused.problems());
        } catch (ChangedMeanwhile changed) {
            changedMeanwhile(form, changed, stored.get(), zone);
        }
        return refused(again.get());
    }

    /** Puts what is stored now beside what was typed. {@code zone}: whose clocks say when it was changed. */
    void changedMeanwhile(Form form, ChangedMeanwhile changed, Map<String, String> stored, ZoneId zone) {
        Instant now = clock.instant();
        String who = changed.by().isPresent() ? people.find(changed.by().getAsLong()).map(Contact::name).orElse("somebody") : "somebody";
        String when = changed.at().map(at -> " at " + Sentences.clock(at, zone, now)).orElse("");
        form.changedMeanwhile(changed.version(), stored, who + when);
    }

    private static Response answer(int status, FormView view) {
        return Response.status(status).type(HTML).entity(Templates.form(view).render()).build();
    }
}
