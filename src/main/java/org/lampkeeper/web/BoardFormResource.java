package org.lampkeeper.web;

import java.util.List;
import java.util.Map;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.MultivaluedMap;
import jakarta.ws.rs.core.Response;

import org.jboss.resteasy.reactive.RestPath;

import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;
import org.lampkeeper.register.BoardSheet;
import org.lampkeeper.register.ChangedMeanwhile;
import org.lampkeeper.register.NewBoard;
import org.lampkeeper.register.NotRegistered;
import org.lampkeeper.register.Registration;
import org.lampkeeper.web.SupplyView.Link;

/** Where is this board, and how does one get to it? */
@Path("/boards")
@Produces(MediaType.TEXT_HTML)
@Needs(Right.EDIT_PLANT)
class BoardFormResource {

    private final Registration registration;
    private final Plant plant;
    private final FormPage pages;

    BoardFormResource(Registration registration, Plant plant, FormPage pages) {
        this.registration = registration;
        this.plant = plant;
        this.pages = pages;
    }

    @GET
    @Path("{board:\\d{1,18}}/edit")
    public Response askWhatIsNew(@RestPath long board) {
        BoardSheet sheet = plant.board(board);
        return FormPage.show(change(sheet, fields(Form.showing(stored(sheet), sheet.version()))));
    }

    @POST
    @Path("{board:\\d{1,18}}/edit")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    public Response change(@RestPath long board, MultivaluedMap<String, String> sent) {
        BoardSheet sheet = plant.board(board);
        Form form = fields(Form.typed(sent));
        NewBoard entered = read(form, sheet.siteId());
        return pages.save(form, () -> registration.changeBoard(board, form.version(), entered, plant.by()), "/sites/" + sheet.siteId(),
                () -> stored(plant.board(board)), plant.site(sheet.siteId()).zone(), () -> change(sheet, form));
    }

    @GET
    @Path("{board:\\d{1,18}}/remove")
    public Response askWhetherToRemove(@RestPath long board) {
        BoardSheet sheet = plant.board(board);
        return FormPage.show(remove(sheet, Form.showing(Map.of(), sheet.version())));
    }

    @POST
    @Path("{board:\\d{1,18}}/remove")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    public Response remove(@RestPath long board, MultivaluedMap<String, String> sent) {
        BoardSheet sheet = plant.board(board);
        Form form = Form.typed(sent);
        try {
            registration.removeBoard(board, form.version(), plant.by());
            return FormPage.done("/sites/" + sheet.siteId());
        } catch (NotRegistered refused) {
            return FormPage.refused(remove(sheet, form.problems(refused.problems())));
        } catch (ChangedMeanwhile changed) {
            pages.changedMeanwhile(form, changed, Map.of(), plant.site(sheet.siteId()).zone());
            return FormPage.refused(remove(plant.board(board), form));
        }
    }

    static Form fields(Form form) {
        return form.add(Input.text("name", "Name").hint("As it is marked: Board A."))
                .add(Input.text("place", "Place").hint("Where it hangs: quay kiosk, left of the door."))
                .add(Input.text("access", "Key or code").hint("What opens the room or the housing that it is in; “none needed” where nothing is locked."));
    }

    static NewBoard read(Form form, long siteId) {
        NewBoard entered = new NewBoard(siteId, form.text("name"), form.text("place"), form.text("access"));
        form.problems(entered.problems());
        return entered;
    }

    private static Map<String, String> stored(BoardSheet board) {
        return Map.of("name", board.name(), "place", board.place(), "access", board.access());
    }

    private FormView change(BoardSheet board, Form form) {
        return new FormView(pages.frame("Change " + board.name(), "supply"), "What is different at " + board.name() + " of " + board.siteName()
                + "?", "", List.of(), form, "/boards/" + board.id() + "/edit", "Save", back(board),
                List.of(new Link("Remove this board", "/boards/" + board.id() + "/remove")));
    }

    private FormView remove(BoardSheet board, Form form) {
        return new FormView(pages.frame("Remove " + board.name(), "supply"), "Is " + board.name() + " of " + board.siteName() + " gone?",
                "It is taken out of the register. That works only once it feeds no cabinet. The journal keeps what it was.", List.of(), form,
                "/boards/" + board.id() + "/remove", "Remove it", back(board), List.of());
    }

    private static Link back(BoardSheet board) {
        return new Link("Back without saving", "/sites/" + board.siteId());
    }
}
