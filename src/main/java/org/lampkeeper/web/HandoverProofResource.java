package org.lampkeeper.web;

import java.time.Duration;
import java.time.Instant;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.DefaultValue;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.NotFoundException;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import org.jboss.resteasy.reactive.RestForm;
import org.jboss.resteasy.reactive.RestPath;

import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;
import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.register.CabinetName;
import org.lampkeeper.register.HandoverSheet;
import org.lampkeeper.register.Handovers;
import org.lampkeeper.register.Problem;
import org.lampkeeper.register.SensorKey;
import org.lampkeeper.register.Sensors;
import org.lampkeeper.supply.ProofTest;
import org.lampkeeper.watch.AlarmDesk;
import org.lampkeeper.watch.HandoverDesk;
import org.lampkeeper.watch.SuppressionKind;
import org.lampkeeper.watch.Work;
import org.lampkeeper.watch.Works;
import org.lampkeeper.web.Input.Choice;
import org.lampkeeper.web.SupplyView.Link;

/** Does a loss of this cabinet reach somebody? The sensor, what it reports now, and the test with the supply taken away at the board. */
@Path("/handovers")
@Produces(MediaType.TEXT_HTML)
class HandoverProofResource {

    private static final MediaType HTML = MediaType.TEXT_HTML_TYPE.withCharset("UTF-8");

    private static final List<String> CAUTIONS = List.of(
            "Only a competent person goes to the board. Switch off the cabinet’s own device, not the board.",
            "Tell the site before: the cabinet is dark until you are back, and its content cools.",
            "Close the device again, and see the lamp lit, before you leave.");

    private final Handovers handovers;
    private final HandoverDesk desk;
    private final AlarmDesk alarms;
    private final Works works;
    private final Sensors sensors;
    private final CabinetReading reading;
    private final SupplyReading supply;
    private final Plant plant;
    private final FormPage pages;

    HandoverProofResource(Handovers handovers, HandoverDesk desk, AlarmDesk alarms, Works works, Sensors sensors, CabinetReading reading, SupplyReading supply, Plant plant,
            FormPage pages) {
        this.handovers = handovers;
        this.desk = desk;
        this.alarms = alarms;
        this.works = works;
        this.sensors = sensors;
        this.reading = reading;
        this.supply = supply;
        this.plant = plant;
        this.pages = pages;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance proof(ProofView view);
    }

    /**
     * @param trouble       what was refused just now; empty for nothing
     * @param sensor        what watches it and what it said last
     * @param pair          where a sensor is paired; empty for whoever may not
     * @param commissioning what is held back now; empty for nothing
     * @param test          the newest test, line by line; empty for none
     */
    record ProofView(Frame frame, String headline, String trouble, List<String> cautions, List<Link> links, String sensor, String pair, String pairText, String commissioning,
            String work, List<Choice> spans, String here, boolean mayWrite, boolean hasSensor, boolean isRunning, Optional<Test> test, List<Test> before) {

        record Test(String title, boolean isProven, List<String> lines) {
        }
    }

    /** How long putting into service may take; then everything counts. Ours. */
    private static final List<Choice> SPANS = List.of(new Choice("PT1H", "one hour"), new Choice("PT4H", "four hours"), new Choice("PT24H", "one day"),
            new Choice("PT72H", "three days"));

    @GET
    @Path("{handover:\\d{1,18}}/proof")
    public Response page(@RestPath long handover) {
        return answer(200, find(handover), "");
    }

    @POST
    @Path("{handover:\\d{1,18}}/proof")
    @Needs(Right.EDIT_PLANT)
    public Response begin(@RestPath long handover) {
        HandoverSheet sheet = find(handover);
        if (sheet.cabinetInUse() && sensors.watching(sheet.cabinetId()).isEmpty()) {
            return answer(422, sheet, "Nothing watches this cabinet yet: pair its sensor first.");
        }
        List<Problem> problems = desk.beginTest(handover, plant.by());
        return problems.isEmpty() ? FormPage.done("/handovers/" + handover + "/proof") : answer(422, sheet, Sentences.capital(problems.get(0).text()) + ".");
    }

    @POST
    @Path("{handover:\\d{1,18}}/proof/end")
    @Needs(Right.EDIT_PLANT)
    public Response end(@RestPath long handover) {
        find(handover);
        desk.endTest(handover, plant.by());
        return FormPage.done("/handovers/" + handover + "/proof");
    }

    /** While a cabinet is put into service nobody is called for it. It ends by itself, and then what is true counts at once. */
    @POST
    @Path("{handover:\\d{1,18}}/commissioning")
    @Consumes(MediaType.APPLICATION_FORM_URLENCODED)
    @Needs(Right.EDIT_PLANT)
    public Response commission(@RestPath long handover, @RestForm @DefaultValue("") String lasts) {
        HandoverSheet sheet = find(handover);
        if (!sheet.cabinetInUse()) {
            return answer(422, sheet, Sentences.capital(sheet.closedBecause().orElseThrow()) + ".");
        }
        Optional<Choice> chosen = SPANS.stream().filter(it -> it.value().equals(lasts)).findFirst();
        if (chosen.isEmpty()) {
            return answer(422, sheet, "How long it is to last is not chosen: choose one.");
        }
        if (held(sheet).isEmpty()) {
            Instant now = plant.now();
            AlarmDesk.WorkResult result = alarms.announce(SuppressionKind.COMMISSIONING, sheet.siteId(), OptionalLong.empty(), OptionalLong.of(sheet.cabinetId()), now,
                    now.plus(Duration.parse(lasts)), "put into service", plant.by().personId());
            if (result instanceof AlarmDesk.WorkResult.Refused refused) {
                return answer(422, sheet, refused.problems().get(0).text());
            }
        }
        return FormPage.done("/handovers/" + handover + "/proof");
    }

    private HandoverSheet find(long handover) {
        return handovers.find(handover).orElseThrow(NotFoundException::new);
    }

    private Optional<Work> held(HandoverSheet sheet) {
        Instant now = plant.now();
        return works.ahead(sheet.siteId(), now).stream().filter(it -> it.kind() == SuppressionKind.COMMISSIONING && it.cabinetId().equals(OptionalLong.of(sheet.cabinetId()))
                && it.hasBegun(now)).reduce((one, other) -> other.until().isAfter(one.until()) ? other : one);
    }

    private Response answer(int status, HandoverSheet sheet, String trouble) {
        CabinetName cabinet = plant.named(sheet.cabinetId());
        ZoneId zone = cabinet.site().zone();
        Instant now = plant.now();
        boolean mayWrite = sheet.isOpen() && plant.may(Right.EDIT_PLANT, sheet.siteId());
        Optional<SensorKey> sensor = sensors.watching(sheet.cabinetId());
        Optional<Work> held = held(sheet);
        List<ProofTest> tests = desk.tests(sheet.id());
        Optional<ProofTest> newest = tests.stream().findFirst();
        String here = "/handovers/" + sheet.id();
        ProofView view = new ProofView(pages.frame("Proof test of " + cabinet.name(), "supply"), headline(newest, cabinet), trouble, CAUTIONS, HandoverResource.links(sheet),
                said(sensor, sheet.cabinetId(), zone, now), mayWrite ? "/cabinets/" + sheet.cabinetId() + (sensor.isPresent() ? "/sensor" : "/sensor/code") : "", sensor.isPresent() ? "Its sensor" : "Pair its sensor",
                held.map(it -> "Nobody is called for this cabinet until " + Sentences.clock(it.until(), zone, now) + ": " + it.reason() + ". Then everything counts.").orElse(""),
                held.map(it -> "/work/" + it.id() + "/end").filter(it -> plant.may(Right.HOLD_BACK, sheet.siteId())).orElse(""), SPANS, here, mayWrite, sensor.isPresent(),
                newest.filter(ProofTest::isRunning).isPresent(), newest.map(it -> test(it, zone, now)), tests.stream().skip(1).map(it -> test(it, zone, now)).toList());
        return Response.status(status).type(HTML).entity(Templates.proof(view).render()).build();
    }

    private static String headline(Optional<ProofTest> newest, CabinetName cabinet) {
        if (newest.isEmpty()) {
            return "Nobody has proven yet that a loss of " + cabinet.name() + " reaches somebody.";
        }
        ProofTest test = newest.get();
        if (test.isRunning()) {
            return test.heardAt().isEmpty() ? "Take the supply of " + cabinet.name() + " away at the board now." : test.takenAt().isEmpty() && test.backHeard().isPresent()
                    ? "The supply of " + cabinet.name() + " is back; the message is not taken yet."
                    : test.takenAt().isPresent() ? "The message is taken: give " + cabinet.name() + " its supply back." : "The loss of " + cabinet.name() + " is heard.";
        }
        return test.isProven() ? "Proven: a loss of " + cabinet.name() + " reaches the person on duty." : "Not proven: not everything happened.";
    }

    private String said(Optional<SensorKey> sensor, long cabinetId, ZoneId zone, Instant now) {
        if (sensor.isEmpty()) {
            return "Nothing watches it yet.";
        }
        Optional<Instant> heard = reading.lastReport(cabinetId).flatMap(CabinetReading.LastReport::receivedAt);
        String state = supply.everything().cabinets().stream().filter(it -> it.cabinetId() == cabinetId).findFirst().flatMap(SupplyReading.CabinetRow::sensor)
                .map(it -> switch (it.state().reading()) {
                    case HEALTHY -> "supply";
                    case LOST -> "no supply";
                    case UNKNOWN -> "not known whether there is supply";
                }).orElse("not known whether there is supply");
        return sensor.get().deviceId() + heard.map(at -> " was heard last at " + Sentences.clock(at, zone, now) + ", " + Sentences.ago(Duration.between(at, now)) + " ago: " + state + ".")
                .orElse(" was not heard yet.");
    }

    private static ProofView.Test test(ProofTest test, ZoneId zone, Instant now) {
        List<String> lines = new ArrayList<>(test.lines());
        if (test.isRunning()) {
            lines.add("It ends at " + Sentences.clock(test.endsAt(), zone, now) + "; what has not happened by then did not happen.");
        }
        return new ProofView.Test("Test of " + Sentences.clock(test.startedAt(), zone, now), test.isProven(), lines);
    }
}
