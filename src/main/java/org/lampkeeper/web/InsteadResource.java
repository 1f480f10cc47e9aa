package org.lampkeeper.web;

import java.time.Instant;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.stream.Stream;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.DefaultValue;
import jakarta.ws.rs.FormParam;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.NotFoundException;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.QueryParam;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.MultivaluedMap;
import jakarta.ws.rs.core.Response;

import org.jboss.resteasy.reactive.RestPath;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.access.Needs;
import org.lampkeeper.access.NotAllowed;
import org.lampkeeper.access.Right;
import org.lampkeeper.callout.Absence;
import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.register.Contact;
import org.lampkeeper.register.DutyBook;
import org.lampkeeper.register.People;
import org.lampkeeper.register.ShiftSheet;
import org.lampkeeper.register.SiteSheet;
import org.lampkeeper.web.Input.Choice;

/** Who is on instead of whom the rota names: stand-ins, absences, and the fallback where it names nobody. */
@Path("/sites")
@Produces(MediaType.TEXT_HTML)
class InsteadResource {

    private static final String NOBODY = "0";
    private static final String PEOPLE = "people.";
    // Ours: whoever is told fourth at night is told late; more can be added by saving once.
    private static final int PLACES = 3;

    private final DutyBook book;
    private final DutyForms forms;
    private final People people;
    private final Plant plant;
    private final FormPage pages;
    private final CurrentCaller caller;

    InsteadResource(DutyBook book, DutyForms forms, People people, Plant plant, FormPage pages, CurrentCaller caller) {
        this.book = book;
        this.forms = forms;
        this.people = people;
        this.plant = plant;
        this.pages = pages;
        this.caller = caller;
    }

    @GET
    @Path("shifts/{shift:\\d{1,18}}/stand-in")
    @Needs(Right.EDIT_CALL_OUT)
    public Response askWhoStandsIn(@RestPath long shift) {
        ShiftSheet stored = book.shift(shift).orElseThrow(NotFoundException::new);
        return FormPage.show(standIn(stored, standInFields(Form.empty(), stored)));
    }

    @POST
    @Path("shifts/{shift:\\d{1,18}}/stand-in")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    @Needs(Right.EDIT_CALL_OUT)
    public Response addStandIn(@RestPath long shift, MultivaluedMap<String, String> sent) {
        ShiftSheet stored = book.shift(shift).orElseThrow(NotFoundException::new);
        Form form = standInFields(Form.typed(sent), stored);
        OptionalLong who = form.chosenId("personId");
        Optional<LocalDate> from = form.dayGiven("from");
        Optional<LocalDate> until = form.dayGiven("until");
        return pages.save(form, () -> book.addStandIn(shift, who.orElseThrow(), from.orElseThrow(), until.orElseThrow(), plant.by()),
                DutyForms.address(stored.siteId()), Map::of, plant.site(stored.siteId()).zone(), () -> standIn(stored, form));
    }

    /** Everybody their own; those of others whoever may change who is told. */
    @GET
    @Path("{site:\\d{1,18}}/duty/absences/new")
    public Response askWhoIsAway(@RestPath long site) {
        SiteSheet sheet = plant.site(site);
        return FormPage.show(absence(sheet, absenceFields(Form.empty(), sheet)));
    }

    @POST
    @Path("{site:\\d{1,18}}/duty/absences/new")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    @Needs(Right.SEE)
    public Response addAbsence(@RestPath long site, MultivaluedMap<String, String> sent) {
        SiteSheet sheet = plant.site(site);
        Form form = absenceFields(Form.typed(sent), sheet);
        OptionalLong who = form.chosenId("personId");
        Optional<Instant> from = form.moment("from", sheet.zone());
        Optional<Instant> until = form.moment("until", sheet.zone());
        return pages.save(form, () -> book.addAbsence(who.orElseThrow(), from.orElseThrow(), until.orElseThrow(), plant.by()), DutyForms.address(site), Map::of,
                sheet.zone(), () -> absence(sheet, form));
    }

    /** It is as if it had not been entered; what was before stays as it was. */
    @POST
    @Path("{site:\\d{1,18}}/duty/stand-ins/end")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    @Needs(Right.EDIT_CALL_OUT)
    public Response endStandIn(@RestPath long site, @FormParam("standIn") @Nullable String standIn) {
        plant.site(site);
        long id = number(standIn);
        // One that somebody else has ended meanwhile is ended.
        if (book.standIns(site).stream().anyMatch(one -> one.id() == id)) {
            book.removeStandIn(id, plant.by());
        }
        return FormPage.done(DutyForms.address(site));
    }

    @POST
    @Path("{site:\\d{1,18}}/duty/absences/end")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    @Needs(Right.SEE)
    public Response endAbsence(@RestPath long site, @FormParam("absence") @Nullable String absence) {
        SiteSheet sheet = plant.site(site);
        Optional<Absence> stored = book.absence(number(absence));
        if (stored.isPresent()) {
            long who = stored.get().personId();
            if (!forms.maySayAway(sheet, who) || !forms.known(sheet).containsKey(who) && who != caller.get().personId()) {
                throw new NotAllowed("You can end an absence of your own, and one of the people at a site where you may change who is told.");
            }
            book.removeAbsence(stored.get().id(), plant.by());
        }
        return FormPage.done(DutyForms.address(site));
    }

    /** Who is told as {@code role} when the rota names nobody. */
    @GET
    @Path("{site:\\d{1,18}}/duty/fallback")
    @Needs(Right.EDIT_CALL_OUT)
    public Response askForFallback(@RestPath long site, @QueryParam("role") @DefaultValue("SITE_DUTY") String role) {
        SiteSheet sheet = plant.site(site);
        DutyRole of = role(role);
        List<Long> own = book.ownFallback(site, of);
        return FormPage.show(fallback(sheet, of, fallbackFields(Form.showing(places(own), book.fallbackVersion(site, of)), sheet, own)));
    }

    @POST
    @Path("{site:\\d{1,18}}/duty/fallback")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    @Needs(Right.EDIT_CALL_OUT)
    public Response setFallback(@RestPath long site, @QueryParam("role") @DefaultValue("SITE_DUTY") String role, MultivaluedMap<String, String> sent) {
        SiteSheet sheet = plant.site(site);
        DutyRole of = role(role);
        Form form = fallbackFields(Form.typed(sent), sheet, book.ownFallback(site, of));
        List<Long> chosen = new ArrayList<>();
        for (int place = 0; sent.containsKey(PEOPLE + place); place++) {
            OptionalLong who = form.chosenId(PEOPLE + place);
            if (who.isPresent() && who.getAsLong() != 0) {
                if (chosen.contains(who.getAsLong())) {
                    form.problem(PEOPLE + place, "is named twice, must be somebody else or nobody");
                }
                chosen.add(who.getAsLong());
            }
        }
        return pages.save(form, () -> book.setFallback(site, of, form.version(), chosen, plant.by()), DutyForms.address(site),
                () -> places(book.ownFallback(site, of)), sheet.zone(), () -> fallback(sheet, of, form));
    }

    private static Map<String, String> places(List<Long> own) {
        Map<String, String> places = new HashMap<>();
        for (int place = 0; place < own.size(); place++) {
            places.put(PEOPLE + place, own.get(place).toString());
        }
        return places;
    }

    private static DutyRole role(String name) {
        return Stream.of(DutyRole.values()).filter(each -> each.name().equals(name)).findFirst().orElseThrow(NotFoundException::new);
    }

    private static long number(@Nullable String id) {
        if (id == null || !id.matches("\\d{1,18}")) {
            throw new NotFoundException();
        }
        return Long.parseLong(id);
    }

    /** One place more than there are people, so that somebody can be added. */
    private Form fallbackFields(Form form, SiteSheet site, List<Long> own) {
        Map<String, String> offered = new LinkedHashMap<>(Map.of(NOBODY, "nobody"));
        forms.people(site).forEach(choice -> offered.put(choice.value(), choice.label()));
        people.find(own).values().forEach(contact -> offered.putIfAbsent("" + contact.personId(), contact.name()));
        List<Choice> choices = offered.entrySet().stream().map(each -> new Choice(each.getKey(), each.getValue())).toList();
        for (int place = 0; place < Math.max(PLACES, own.size() + 1); place++) {
            form.add(Input.choice(PEOPLE + place, place == 0 ? "Told first" : "Then", choices));
        }
        return form;
    }

    private FormView fallback(SiteSheet site, DutyRole role, Form form) {
        return new FormView(pages.frame("Fallback at " + site.name(), "supply"), "Who is told as " + role.words() + " at " + site.name()
                + " when no shift is filled?", "With nobody chosen, the fallback of the duty managers counts, then the site's call-out list, then whoever"
                + " has a role at the site.", List.of(), form, DutyForms.address(site.id()) + "/fallback?role=" + role, "Save",
                DutyForms.back(site.id()), List.of());
    }

    private Form standInFields(Form form, ShiftSheet stored) {
        SiteSheet site = plant.site(stored.siteId());
        return form.add(Input.choice("personId", "Who stands in", forms.people(site))).add(Input.date("from", "From the shift of"))
                .add(Input.date("until", "To the shift of").hint("The last day on whose shift they stand in. For one shift, the same day."));
    }

    private FormView standIn(ShiftSheet stored, Form form) {
        SiteSheet site = plant.site(stored.siteId());
        return new FormView(pages.frame("A stand-in at " + site.name(), "supply"), "Who does this shift at " + site.name() + " instead?",
                DutyWords.pattern(stored.shift()) + ".", List.of(), form, "/sites/shifts/" + stored.shift().id() + "/stand-in", "They stand in",
                DutyForms.back(site.id()), List.of());
    }

    private Form absenceFields(Form form, SiteSheet site) {
        Contact self = people.contact(caller.get().personId());
        Map<String, String> offered = new LinkedHashMap<>(Map.of("" + self.personId(), self.name()));
        if (plant.may(Right.EDIT_CALL_OUT, site.id())) {
            forms.people(site).forEach(choice -> offered.putIfAbsent(choice.value(), choice.label()));
        }
        String zone = "On the clocks of " + site.name() + ": " + SupplyPage.zoneName(site.zone()) + ".";
        return form.add(Input.choice("personId", "Who", offered.entrySet().stream().map(each -> new Choice(each.getKey(), each.getValue())).toList()))
                .add(Input.moment("from", "Away from").hint(zone)).add(Input.moment("until", "Away until").hint(zone));
    }

    private FormView absence(SiteSheet site, Form form) {
        return new FormView(pages.frame("An absence", "supply"), "Who is away, and when?",
                "Whoever is away is on for nothing, at no site. A shift of theirs without a stand-in is shown as one without anybody.", List.of(), form,
                DutyForms.address(site.id()) + "/absences/new", "Enter it", DutyForms.back(site.id()), List.of());
    }
}
