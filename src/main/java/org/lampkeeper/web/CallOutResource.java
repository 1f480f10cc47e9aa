package org.lampkeeper.web;

import java.time.Duration;
import java.time.Instant;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Collections;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Collectors;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.MultivaluedMap;
import jakarta.ws.rs.core.Response;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import org.jboss.resteasy.reactive.RestPath;

import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;
import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.callout.CallOutList;
import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.callout.Turn;
import org.lampkeeper.callout.Whom;
import org.lampkeeper.message.Channels;
import org.lampkeeper.message.PersonChannel;
import org.lampkeeper.message.PersonChannels;
import org.lampkeeper.register.CallOutLists;
import org.lampkeeper.register.CallOutSheet;
import org.lampkeeper.register.ChangedMeanwhile;
import org.lampkeeper.register.Contact;
import org.lampkeeper.register.NotRegistered;
import org.lampkeeper.register.People;
import org.lampkeeper.register.Registration;
import org.lampkeeper.web.Form.FieldView;
import org.lampkeeper.web.Input.Choice;

/** Who is told here, in which order, and after how long? Site 0 is Lampkeeper itself, whose list is the operator's. */
@Path("/sites")
@Produces(MediaType.TEXT_HTML)
class CallOutResource {

    private static final MediaType HTML = MediaType.TEXT_HTML_TYPE.withCharset("UTF-8");
    private static final Pattern MOVE = Pattern.compile("(up|down|remove)\\.(\\d{1,2})");

    // Ours: a page that can be handled; the register takes fewer still, and says so.
    private static final int MOST_ROWS = 40;
    private static final int MOST_ROUNDS = 100;
    // Before the name of a role in the value of a choice; what is only a number is a person.
    private static final String ON_DUTY = "duty-";
    private static final int MOST_MINUTES = 24 * 60;

    private final Registration registration;
    private final CallOutLists lists;
    private final People people;
    private final TurnWords words;
    private final PeopleReading reading;
    private final Plant plant;
    private final FormPage pages;
    private final CurrentCaller caller;
    private final PersonChannels channels;
    private final Channels kinds;

    CallOutResource(Registration registration, CallOutLists lists, People people, TurnWords words, PeopleReading reading, Plant plant, FormPage pages,
            CurrentCaller caller, PersonChannels channels, Channels kinds) {
        this.registration = registration;
        this.lists = lists;
        this.people = people;
        this.words = words;
        this.reading = reading;
        this.plant = plant;
        this.pages = pages;
        this.caller = caller;
        this.channels = channels;
        this.kinds = kinds;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance list(CallOutView view);
    }

    /**
     * @param notStored what has been moved about on the page and not been saved; empty when nothing has
     * @param stored    who is told as it is stored, like the relay of an alarm
     */
    record CallOutView(Frame frame, String headline, String intro, String notStored, List<Step> stored, String againAfter, String again, boolean mayChange,
            Form form, String action, String back, List<Row> rows, List<FieldView> atTheEnd) {

        /** {@code when}: after the one before. {@code reached}: how, or that nobody knows how. */
        record Step(String when, String name, String reached, String look) {
        }

        record Row(int number, FieldView person, FieldView after, String up, String down, String remove, String name) {
        }
    }

    @GET
    @Path("{site:\\d{1,18}}/call-out")
    public Response show(@RestPath long site) {
        CallOutSheet sheet = lists.sheet(site);
        return answer(200, site, fields(Form.showing(stored(sheet.list()), sheet.version()), sheet), "");
    }

    /** Moving, adding and removing rows stores nothing: it answers with the page as it then is. */
    @POST
    @Path("{site:\\d{1,18}}/call-out")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    @Needs(Right.EDIT_CALL_OUT)
    public Response change(@RestPath long site, MultivaluedMap<String, String> sent) {
        CallOutSheet sheet = lists.sheet(site);
        Map<String, String> typed = Form.firstOf(sent);
        String pressed = typed.getOrDefault("do", "save");
        if (!pressed.equals("save")) {
            return answer(200, site, fields(Form.typed(moved(typed, pressed)), sheet), "Not saved yet: the list counts once you press “Save the list”.");
        }
        Form form = fields(Form.typed(sent), sheet);
        CallOutList entered = read(form);
        if (!form.isFine()) {
            return answer(422, site, form, "");
        }
        try {
            registration.changeCallOutList(site, form.version(), entered, plant.by());
            return FormPage.done("/sites/" + site + "/call-out");
        } catch (NotRegistered refused) {
            return answer(422, site, form.problems(refused.problems()), "");
        } catch (ChangedMeanwhile changed) {
            pages.changedMeanwhile(form, changed, stored(lists.sheet(site).list()), zone(site));
            return answer(409, site, form, "");
        }
    }

    private Form fields(Form form, CallOutSheet sheet) {
        Map<String, String> offered = new LinkedHashMap<>();
        reading.seenBy(caller.get()).forEach(person -> offered.put(Long.toString(person.id()), person.name()));
        // Whoever stands on the list already may stay there, whether or not the caller would find them elsewhere.
        people.find(sheet.list().turns().stream().flatMapToLong(turn -> turn.personId().stream()).boxed().toList()).values()
                .forEach(person -> offered.putIfAbsent(Long.toString(person.personId()), person.name()));
        Arrays.stream(DutyRole.values()).forEach(role -> offered.put(ON_DUTY + role.name(), "On duty: " + role.words()));
        List<Choice> choices = offered.entrySet().stream().map(each -> new Choice(each.getKey(), each.getValue())).toList();
        for (int i = 0; i < rows(form); i++) {
            form.add(Input.choice(person(i), "Who, " + (i + 1), choices))
                    .add(Input.decimal(after(i), i == 0 ? "After the alarm" : "After the one before", "min"));
        }
        return form.add(Input.decimal("repeatAfter", "Begin again", "min")
                .hint("After the last: nobody has taken it, so the first is told again."))
                .add(Input.whole("rounds", "Gone through", "times"))
                .add(Input.tick("lastResort", "Then tell everybody of the site")
                        .hint("Again and again, until somebody takes it. Without it the list goes on from the first."));
    }

    private CallOutList read(Form form) {
        List<Turn> turns = new ArrayList<>();
        for (int i = 0; i < rows(form); i++) {
            Duration after = minutes(form, after(i), 0);
            whom(form, person(i)).ifPresent(whom -> turns.add(new Turn(whom, after)));
        }
        Duration repeatAfter = minutes(form, "repeatAfter", 1);
        int rounds = form.whole("rounds", 1, MOST_ROUNDS);
        return new CallOutList(turns, repeatAfter.isZero() ? Duration.ofMinutes(1) : repeatAfter, Math.max(1, rounds), form.isTicked("lastResort"));
    }

    /** A person by their id, or a role; empty where nothing that is offered was chosen, and then the form says so. */
    private static Optional<Whom> whom(Form form, String name) {
        for (DutyRole role : DutyRole.values()) {
            if (form.value(name).equals(ON_DUTY + role.name())) {
                return Optional.of(new Whom.OnDutyFor(role));
            }
        }
        OptionalLong person = form.chosenId(name);
        return person.isPresent() ? Optional.of(new Whom.Person(person.getAsLong())) : Optional.empty();
    }

    private static String written(Turn turn) {
        return turn.role().map(role -> ON_DUTY + role.name()).orElseGet(() -> Long.toString(turn.personId().orElseThrow()));
    }

    private static Duration minutes(Form form, String name, int least) {
        if (form.text(name).isEmpty()) {
            form.problem(name, "is empty, must be " + least + " to " + MOST_MINUTES + " min");
        }
        return form.decimal(name, least, MOST_MINUTES).map(minutes -> Duration.ofSeconds(Math.round(minutes * 60))).orElse(Duration.ZERO);
    }

    private static Map<String, String> stored(CallOutList list) {
        Map<String, String> stored = new HashMap<>();
        for (int i = 0; i < list.turns().size(); i++) {
            stored.put(person(i), written(list.turns().get(i)));
            stored.put(after(i), written(list.turns().get(i).after()));
        }
        stored.put("rows", Integer.toString(list.turns().size()));
        stored.put("repeatAfter", written(list.repeatAfter()));
        stored.put("rounds", Integer.toString(list.rounds()));
        if (list.lastResort()) {
            stored.put("lastResort", "yes");
        }
        return stored;
    }

    /** The same typed values with one row more, one fewer, or two that have changed places. */
    private static Map<String, String> moved(Map<String, String> typed, String pressed) {
        Form form = Form.typed(typed);
        List<List<String>> rows = new ArrayList<>();
        for (int i = 0; i < rows(form); i++) {
            rows.add(List.of(form.value(person(i)), form.value(after(i))));
        }
        Matcher move = MOVE.matcher(pressed);
        if (pressed.equals("add") && rows.size() < MOST_ROWS) {
            rows.add(List.of("", rows.isEmpty() ? "0" : "10"));
        } else if (move.matches()) {
            int row = Integer.parseInt(move.group(2));
            int other = move.group(1).equals("up") ? row - 1 : row + 1;
            if (move.group(1).equals("remove") && row < rows.size()) {
                rows.remove(row);
            } else if (row < rows.size() && other >= 0 && other < rows.size()) {
                Collections.swap(rows, row, other);
            }
        }
        Map<String, String> next = new HashMap<>(typed);
        next.keySet().removeIf(name -> name.startsWith("turns."));
        for (int i = 0; i < rows.size(); i++) {
            next.put(person(i), rows.get(i).get(0));
            next.put(after(i), rows.get(i).get(1));
        }
        next.put("rows", Integer.toString(rows.size()));
        return next;
    }

    private Response answer(int status, long site, Form form, String notStored) {
        CallOutList list = lists.sheet(site).list();
        Instant now = plant.now();
        List<CallOutView.Step> steps = new ArrayList<>();
        for (Turn turn : list.turns()) {
            steps.add(step(turn, site, steps.isEmpty(), now));
        }
        boolean isOperators = site == CallOutLists.OPERATOR;
        String where = isOperators ? "Lampkeeper itself" : plant.site(site).name();
        List<CallOutView.Row> rows = new ArrayList<>();
        int count = rows(form);
        for (int i = 0; i < count; i++) {
            FieldView person = form.field(person(i));
            String name = person.choices().stream().filter(Form.ChoiceView::isChosen).map(Form.ChoiceView::label).findFirst().orElse("this row");
            rows.add(new CallOutView.Row(i + 1, person, form.field(after(i)), i > 0 ? "up." + i : "", i + 1 < count ? "down." + i : "",
                    "remove." + i, name));
        }
        CallOutView view = new CallOutView(pages.frame("Who is told: " + where, "people"), headline(list, list.turns().isEmpty() ? "" : words.name(list.turns().get(0).whom(), site, now), where),
                isOperators ? "They hear when Lampkeeper itself fails, and of every site that has no list of its own." : fallback(list), notStored,
                steps, steps.isEmpty() ? "" : "after " + written(list.repeatAfter()) + " min", again(list), plant.may(Right.EDIT_CALL_OUT, site), form,
                "/sites/" + site + "/call-out", isOperators ? "/people" : "/sites/" + site, rows, List.of(form.field("repeatAfter"), form.field("rounds"), form.field("lastResort")));
        return Response.status(status).type(HTML).entity(Templates.list(view).render()).build();
    }

    private CallOutView.Step step(Turn turn, long site, boolean isFirst, Instant now) {
        String when = turn.after().isZero() ? (isFirst ? "at once" : "with them") : written(turn.after()) + " min";
        List<Contact> who = words.who(turn.whom(), site, now);
        List<PersonChannel> usable = who.stream().flatMap(person -> channels.usable(person.personId()).stream()).toList();
        boolean isReached = !usable.isEmpty();
        String by = usable.stream().map(it -> kinds.label(it.kind())).distinct().collect(Collectors.joining(", "));
        String phones = who.stream().flatMap(person -> person.phone().stream()).collect(Collectors.joining(", "));
        String cannot = who.isEmpty() ? "nobody can be told now, the next is told at once" : "no channel: cannot be told, the next is told at once";
        return new CallOutView.Step(when, words.name(turn.whom(), site, now), isReached ? "by " + by + (phones.isEmpty() ? "" : ", telephone " + phones)
                : cannot, isReached ? "plain" : "lost");
    }

    /** The page's answer: who is first, and how many stand behind. */
    static String headline(CallOutList list, String first, String where) {
        if (list.turns().isEmpty()) {
            return "Nobody is on the list of " + where + " yet.";
        }
        int others = list.turns().size() - 1;
        String behind = others == 0 ? "nobody else is on the list" : others == 1 ? "one turn follows" : others + " turns follow";
        return Sentences.capital(first) + " is told first about " + where + "; " + behind + ".";
    }

    private static String again(CallOutList list) {
        String rest = ", as long as nobody has taken it";
        if (!list.lastResort()) {
            return "from the first again" + rest;
        }
        return list.rounds() == 1 ? "everybody of the site, again and again" + rest
                : "from the first again, " + list.rounds() + " times in all; then everybody of the site" + rest;
    }

    private static String fallback(CallOutList list) {
        return list.turns().isEmpty() ? "Until there is somebody, the operator's list is told instead." : "";
    }

    private ZoneId zone(long site) {
        return site == CallOutLists.OPERATOR ? ZoneId.of("UTC") : plant.site(site).zone();
    }

    private static int rows(Form form) {
        String typed = form.value("rows");
        return typed.matches("\\d{1,2}") ? Math.min(MOST_ROWS, Integer.parseInt(typed)) : 0;
    }

    private static String written(Duration duration) {
        return Form.number(duration.toSeconds() / 60.0);
    }

    private static String person(int row) {
        return "turns." + row + ".personId";
    }

    private static String after(int row) {
        return "turns." + row + ".after";
    }
}
