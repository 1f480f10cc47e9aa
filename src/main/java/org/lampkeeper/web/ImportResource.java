package org.lampkeeper.web;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.net.URI;
import java.nio.file.Files;
import java.time.Clock;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.DefaultValue;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.NotFoundException;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.HttpHeaders;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import org.jboss.resteasy.reactive.RestForm;
import org.jboss.resteasy.reactive.RestQuery;
import org.jboss.resteasy.reactive.multipart.FileUpload;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.access.Needs;
import org.lampkeeper.access.NotAllowed;
import org.lampkeeper.access.Right;
import org.lampkeeper.web.csv.CsvFile;
import org.lampkeeper.web.csv.CsvKind;
import org.lampkeeper.web.csv.Imports;
import org.lampkeeper.web.csv.Imports.Told;
import org.lampkeeper.web.csv.Wrong;

/**
 * What would this file do, and what did it do? A file is looked through first and stores nothing; one button then takes it as a whole. The
 * page reloads itself while that goes on, and shows the same when somebody comes back to it.
 */
@Path("/import")
@Produces(MediaType.TEXT_HTML)
@Needs(Right.SEE)
class ImportResource {

    // Ours: what somebody reads before they put it right; the figure above says how many there are.
    private static final int WRONG_ON_A_PAGE = 200;

    private final Imports imports;
    private final SupplyReading supply;
    private final CurrentCaller current;
    private final Clock clock;

    ImportResource(Imports imports, SupplyReading supply, CurrentCaller current, Clock clock) {
        this.imports = imports;
        this.supply = supply;
        this.current = current;
        this.clock = clock;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance choose(ChooseView view);

        static native TemplateInstance told(ToldView view);
    }

    /** {@code problem}: why the file that was just sent could not be looked through; empty for none. */
    record ChooseView(Frame frame, String headline, String problem, List<Choice> kinds, int mostRows, int mostMegabytes) {

        record Choice(String value, String label, String columns, boolean isChosen) {
        }
    }

    /**
     * @param look    {@code lost} where somebody has to do something about it, {@code plain} otherwise
     * @param percent how far it is while it is being taken; -1 otherwise
     */
    record ToldView(Frame frame, String headline, String note, String look, long run, boolean mayTake, String take, int percent, int done,
            int all,
            int secrets, List<Line> wrong, String more) {

        record Line(String where, String column, String text) {
        }
    }

    @GET
    public Response show(@RestQuery @Nullable Long run, @RestQuery @DefaultValue("") String kind) {
        if (run == null) {
            return choose(200, "", kind);
        }
        Told told = imports.look(run, current.get()).orElseThrow(NotFoundException::new);
        Response.ResponseBuilder page = Response.ok(Templates.told(view(run, told)).render(),
                MediaType.TEXT_HTML_TYPE.withCharset("UTF-8"));
        if (told instanceof Told.Taking) {
            page.header("Refresh", "2");
        }
        return page.build();
    }

    @POST
    @Consumes(MediaType.MULTIPART_FORM_DATA)
    public Response send(@RestForm @Nullable String kind, @RestForm @Nullable FileUpload file) {
        Optional<CsvKind> chosen = Optional.ofNullable(kind).flatMap(CsvKind::of);
        if (chosen.isEmpty()) {
            return choose(422, "Say what the file holds: sites, cabinets or sensors.", "");
        }
        if (!current.get().reach().maySomewhere(chosen.get().right())) {
            throw new NotAllowed("You may not import " + chosen.get().words() + ".");
        }
        if (file == null || file.size() == 0) {
            return choose(422, "No file was sent, or it is empty: choose a file and send it again.", chosen.get().words());
        }
        if (file.size() > CsvFile.MOST_BYTES) {
            return choose(413, "The file has more than " + megabytes() + " MB: split it into several.", chosen.get().words());
        }
        Optional<String> text = CsvFile.text(bytes(file));
        if (text.isEmpty()) {
            return choose(422, "The file is not text in UTF-8: save it as \"CSV UTF-8\" and send it again.", chosen.get().words());
        }
        long run = imports.send(chosen.get(), Optional.ofNullable(file.fileName()).orElse("file"), text.get(), current.get());
        return Response.seeOther(URI.create("/import?run=" + run)).build();
    }

    @POST
    @Path("take")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    public Response take(@RestForm long run) {
        if (!imports.take(run, current.get())) {
            throw new NotFoundException();
        }
        return Response.seeOther(URI.create("/import?run=" + run)).build();
    }

    /** A file that is there once: it holds what each new sensor logs in with. */
    @POST
    @Path("secrets")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    public Response secrets(@RestForm long run) {
        Optional<String> file = imports.fetchSecrets(run, current.get(), ',');
        if (file.isEmpty()) {
            return Problems.page(404, "There are no secrets to fetch here.",
                    "They are given out once. Whoever has lost one makes a new one on the page of its cabinet.", clock);
        }
        return Response.ok(file.get(), "text/csv; charset=utf-8")
                .header(HttpHeaders.CONTENT_DISPOSITION, "attachment; filename=\"sensor-secrets.csv\"").build();
    }

    private Response choose(int status, String problem, String chosen) {
        List<ChooseView.Choice> kinds = Arrays.stream(CsvKind.values()).filter(kind -> current.get().reach().maySomewhere(kind.right()))
                .map(kind -> new ChooseView.Choice(kind.words(), label(kind), String.join(", ", kind.columns()), kind.words()
                        .equals(chosen))).toList();
        if (kinds.isEmpty()) {
            throw new NotAllowed("Importing takes the role of an installer, a responsible person or an administrator.");
        }
        ChooseView view = new ChooseView(frame("Import"), "Which file is to be taken into the register?", problem, kinds,
                CsvFile.MOST_ROWS, megabytes());
        return Response.status(status).entity(Templates.choose(view).render()).type(MediaType.TEXT_HTML_TYPE.withCharset("UTF-8")).build();
    }

    private ToldView view(long run, Told told) {
        String file = told.fileName();
        if (told instanceof Told.Ready ready) {
            boolean does = ready.added() + ready.changed() > 0;
            return new ToldView(frame("Import"), file + (does ? " can be taken; nothing of it is stored yet." : " changes nothing."),
                    counted(ready.added(), "new") + ", " + counted(ready.changed(), "changed") + ", " + ready.unchanged()
                            + " as registered already.",
                    "plain", run, does, "Take " + rows(ready.added() + ready.changed()), -1, 0, 0, 0, List.of(), "");
        }
        if (told instanceof Told.Faulty faulty) {
            List<ToldView.Line> lines = faulty.wrong().stream().limit(WRONG_ON_A_PAGE).map(ImportResource::line).toList();
            int left = faulty.wrong().size() - lines.size();
            return new ToldView(frame("Import"), file + " cannot be taken: " + (faulty.wrong().size() == 1 ? "one thing is wrong."
                    : faulty.wrong().size()
                    + " things are wrong."), "Nothing of it was stored. Put it right in the file and send it again.", "lost", run, false,
                            "", -1, 0, 0, 0,
                    lines, left == 0 ? "" : left + " more are not listed.");
        }
        if (told instanceof Told.Taking taking) {
            int percent = taking.all() == 0 ? 0 : Math.min(100, taking.done() * 100 / taking.all());
            return new ToldView(frame("Import"), file + " is being taken.",
                    "This page looks again by itself. It may be left, and come back to.", "plain", run,
                    false, "", percent, taking.done(), taking.all(), 0, List.of(), "");
        }
        if (told instanceof Told.Stopped) {
            return new ToldView(frame("Import"), file + " was not taken: Lampkeeper stopped meanwhile.",
                    "Nothing of it was stored. It can be taken again.",
                    "lost", run, true, "Take it again", -1, 0, 0, 0, List.of(), "");
        }
        Told.Taken taken = (Told.Taken) told;
        return new ToldView(frame("Import"), file + " is taken.", counted(taken.added(), "new") + ", " + counted(taken.changed(),
                "changed") + ", "
                + taken.unchanged() + " as registered already.", "plain", run, false, "", -1, 0, 0, taken.secrets(), List.of(), "");
    }

    private static ToldView.Line line(Wrong wrong) {
        return new ToldView.Line(wrong.row() == 0 ? "the file" : "row " + wrong.row(), wrong.column(), wrong.text());
    }

    private static String counted(int count, String word) {
        return rows(count) + " " + word;
    }

    private static String rows(int count) {
        return count == 1 ? "1 row" : count + " rows";
    }

    private static String label(CsvKind kind) {
        return switch (kind) {
            case SITES -> "Sites";
            case CABINETS -> "Cabinets, with circuit, board and content";
            case SENSORS -> "Sensors";
        };
    }

    private static int megabytes() {
        return CsvFile.MOST_BYTES / 1024 / 1024;
    }

    private static byte[] bytes(FileUpload file) {
        try {
            return Files.readAllBytes(file.uploadedFile());
        } catch (IOException e) {
            throw new UncheckedIOException("a file that was sent cannot be read", e);
        }
    }

    private Frame frame(String title) {
        return SupplyPage.frame(title, "", supply.outline(), clock.instant());
    }
}
