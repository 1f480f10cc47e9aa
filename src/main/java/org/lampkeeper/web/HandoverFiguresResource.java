package org.lampkeeper.web;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.stream.Stream;

import jakarta.ws.rs.GET;
import jakarta.ws.rs.NotFoundException;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import org.jboss.resteasy.reactive.RestPath;

import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.electrical.Grade;
import org.lampkeeper.electrical.Limits;
import org.lampkeeper.electrical.Verdict;
import org.lampkeeper.register.CabinetName;
import org.lampkeeper.register.HandoverField;
import org.lampkeeper.register.HandoverFigures.Part;
import org.lampkeeper.register.HandoverFigures.Placed;
import org.lampkeeper.register.HandoverNotice;
import org.lampkeeper.register.HandoverSheet;
import org.lampkeeper.register.HandoverValues;
import org.lampkeeper.register.Handovers;
import org.lampkeeper.report.HandoverPaper.Figure;
import org.lampkeeper.watch.HandoverDesk;
import org.lampkeeper.web.SupplyView.Link;

/** Do the figures of this circuit amount to what they should? Each verdict stands at its part of the circuit. */
@Path("/handovers")
@Produces(MediaType.TEXT_HTML)
class HandoverFiguresResource {

    private final Handovers handovers;
    private final HandoverDesk desk;
    private final Plant plant;
    private final FormPage pages;

    HandoverFiguresResource(Handovers handovers, HandoverDesk desk, Plant plant, FormPage pages) {
        this.handovers = handovers;
        this.desk = desk;
        this.plant = plant;
        this.pages = pages;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance figures(FiguresView view);
    }

    /** @param tables which tables these are, and what they were not checked against; empty while no edition is chosen @param notices to hang at the circuit */
    record FiguresView(Frame frame, String headline, String tables, List<String> cautions, List<Link> links, List<At> line, List<HandoverNotice> notices) {

        /** @param says what stands there */
        record At(String part, String says, List<Shown> verdicts) {
        }

        /** @param look {@code within}, {@code again}, {@code outside} or {@code missing} */
        record Shown(String look, Figure figure) {
        }
    }

    @GET
    @Path("{handover:\\d{1,18}}/figures")
    public TemplateInstance figures(@RestPath long handover) {
        HandoverSheet sheet = handovers.find(handover).orElseThrow(NotFoundException::new);
        CabinetName cabinet = plant.named(sheet.cabinetId());
        HandoverValues values = sheet.values();
        Optional<Limits> limits = desk.limits(values);
        List<Placed> placed = desk.figures(values);
        return Templates.figures(new FiguresView(pages.frame("Figures of " + cabinet.name(), "supply"), headline(placed, cabinet),
                limits.map(HandoverFiguresResource::compared).orElse(""), HandoverResource.CAUTIONS,
                HandoverResource.links(sheet), Stream.of(Part.values()).map(part -> at(part, placed, values)).toList(),
                HandoverNotice.of(values)));
    }

    static String headline(List<Placed> placed, CabinetName cabinet) {
        if (placed.isEmpty()) {
            return "Nothing is worked out for " + cabinet.name() + " yet: choose the edition of the limits first.";
        }
        List<String> parts = new ArrayList<>();
        count(parts, placed, Grade.OUTSIDE, "outside");
        count(parts, placed, Grade.LOOK_AGAIN, "to look at again");
        count(parts, placed, Grade.NOT_GIVEN, "not given");
        count(parts, placed, Grade.WITHIN, "within");
        return "Of the figures of " + cabinet.name() + ", " + listed(parts) + ".";
    }

    private static void count(List<String> parts, List<Placed> placed, Grade grade, String word) {
        long count = placed.stream().filter(it -> it.verdict().grade() == grade).count();
        if (count > 0) {
            parts.add(count == 1 ? "one is " + word : count + " are " + word);
        }
    }

    private static String listed(List<String> parts) {
        return parts.size() == 1 ? parts.get(0) : String.join(", ", parts.subList(0, parts.size() - 1)) + " and " + parts.get(parts.size() - 1);
    }

    static String word(Grade grade) {
        return switch (grade) {
            case WITHIN -> "within";
            case LOOK_AGAIN -> "look again";
            case OUTSIDE -> "outside";
            case NOT_GIVEN -> "not given";
        };
    }

    private static FiguresView.At at(Part part, List<Placed> placed, HandoverValues values) {
        return new FiguresView.At(part.words(), stands(part, values), placed.stream().filter(it -> it.part() == part).map(HandoverFiguresResource::shown).toList());
    }

    private static FiguresView.Shown shown(Placed placed) {
        String look = switch (placed.verdict().grade()) {
            case WITHIN -> "within";
            case LOOK_AGAIN -> "again";
            case OUTSIDE -> "outside";
            case NOT_GIVEN -> "missing";
        };
        return new FiguresView.Shown(look, figure(placed));
    }

    /** In words, for the page and for paper. */
    static Figure figure(Placed placed) {
        Verdict verdict = placed.verdict();
        return new Figure(Sentences.capital(verdict.what()), placed.stage().words(), word(verdict.grade()), verdict.says(), verdict.formula(),
                String.join("; ", verdict.inputs()), verdict.limit(), verdict.edition(), verdict.source(), verdict.advice());
    }

    /** Which tables these are, and what they were not checked against. */
    static String compared(Limits limits) {
        return "Compared with the tables of " + limits.edition() + ", from secondary copies. " + limits.remark();
    }

    /** What is there, as it is written on its front. */
    static String stands(Part part, HandoverValues values) {
        return switch (part) {
            case ORIGIN -> said(values, HandoverField.EARTHING, "", "") + said(values, HandoverField.ZE, ", Ze ", " Ω") + said(values, HandoverField.FAULT_CURRENT, ", ", " kA");
            case DEVICE -> said(values, HandoverField.BOARD, "", "") + said(values, HandoverField.WAY, ", way ", "") + said(values, HandoverField.CURVE, ", ", "")
                    + said(values, HandoverField.RATING, "", "") + said(values, HandoverField.RESIDUAL, ", ", " mA");
            case CABLE -> said(values, HandoverField.CORES, "", "-core ") + said(values, HandoverField.SIZE, "", " mm²") + said(values, HandoverField.LENGTH, ", ", " m");
            case FUSED_UNIT -> said(values, HandoverField.FUSE, "fuse ", " A");
            case LAMP -> said(values, HandoverField.LAMP_PLACE, "", "");
            case CABINET -> said(values, HandoverField.IP_CODE, "", "") + said(values, HandoverField.HEATER, ", heater ", " W");
        };
    }

    private static String said(HandoverValues values, HandoverField field, String before, String after) {
        return values.text(field).map(text -> before + (field == HandoverField.EARTHING ? text.replace('_', '-') : text) + after).orElse("");
    }
}
