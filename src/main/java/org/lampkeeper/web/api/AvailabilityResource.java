package org.lampkeeper.web.api;

import java.time.Clock;
import java.time.Duration;
import java.time.Instant;
import java.time.YearMonth;
import java.time.format.DateTimeFormatter;
import java.time.format.DateTimeParseException;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.stream.Stream;

import jakarta.ws.rs.GET;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.Context;
import jakarta.ws.rs.core.HttpHeaders;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;
import jakarta.ws.rs.core.UriInfo;

import org.eclipse.microprofile.openapi.annotations.Operation;
import org.eclipse.microprofile.openapi.annotations.enums.ParameterIn;
import org.eclipse.microprofile.openapi.annotations.enums.SchemaType;
import org.eclipse.microprofile.openapi.annotations.media.Schema;
import org.eclipse.microprofile.openapi.annotations.parameters.Parameter;
import org.eclipse.microprofile.openapi.annotations.responses.APIResponseSchema;
import org.eclipse.microprofile.openapi.annotations.tags.Tag;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;
import org.lampkeeper.report.MetTotal;
import org.lampkeeper.report.Spread;
import org.lampkeeper.report.SupplyTotal;
import org.lampkeeper.report.UnfitCabinet;
import org.lampkeeper.report.UnfitRecord;
import org.lampkeeper.web.AllMonths;
import org.lampkeeper.web.ProblemType;
import org.lampkeeper.web.Refused;

/** How long the cabinets had supply in a month. */
@Path("/api/availability")
@Produces(MediaType.APPLICATION_JSON)
@Needs(value = Right.SEE, everywhere = true)
@Tag(name = "availability", description = "How long the cabinets had supply in a month: each by itself, each site, and all together.")
class AvailabilityResource {

    private static final DateTimeFormatter MONTH = DateTimeFormatter.ofPattern("uuuu-MM", Locale.ROOT);

    private final AllMonths months;
    private final Desk desk;
    private final Clock clock;

    AvailabilityResource(AllMonths months, Desk desk, Clock clock) {
        this.months = months;
        this.desk = desk;
        this.clock = clock;
    }

    /**
     * Lengths of time, summed over cabinets.
     *
     * @param withSupply share of the known time, 0 to 1; absent where nothing is known
     * @param longestLossSeconds absent where there was no loss
     */
    record SupplyFigures(int cabinets, Optional<Double> withSupply, long suppliedSeconds, long lostSeconds, long unknownSeconds, long excludedSeconds, int losses,
            OptionalLong longestLossSeconds) {

        static SupplyFigures of(SupplyTotal total) {
            return new SupplyFigures(total.cabinets(), total.availability(), total.supplied().toSeconds(), total.lost().toSeconds(), total.unknown().toSeconds(),
                    total.excluded().toSeconds(), total.losses(), total.longestLoss().map(Duration::toSeconds).map(OptionalLong::of).orElse(OptionalLong.empty()));
        }
    }

    /**
     * A stretch of time in which a cabinet was not fit for use. Of all other time nothing is said.
     *
     * @param from    may be before the month
     * @param until   may be after it; absent while it goes on
     * @param because more about it, in somebody's own words; absent where there is none
     */
    record NotFit(long cabinetId, String code, UnfitRecord.Reason reason, Instant from, Optional<Instant> until, Optional<String> because) {
    }

    /**
     * How long a step took after the loss began, of the losses for which it came: nearest rank, so each is a time that did happen.
     *
     * @param times how many
     */
    record StepFigures(int times, long medianSeconds, long ninetiethSeconds, long longestSeconds) {

        static StepFigures of(Spread spread) {
            return new StepFigures(spread.cases(), spread.median().toSeconds(), spread.ninetieth().toSeconds(), spread.worst().toSeconds());
        }
    }

    /**
     * How the losses were met that began in the month; each step absent where it came for none of them.
     *
     * @param told     until the first message about it was handed over
     * @param taken    until somebody took it
     * @param attended until somebody was there
     * @param restored until the supply was back
     */
    record ResponseFigures(int lossesBegun, Optional<StepFigures> told, Optional<StepFigures> taken, Optional<StepFigures> attended, Optional<StepFigures> restored) {

        static ResponseFigures of(MetTotal met) {
            return new ResponseFigures(met.losses(), met.told().map(StepFigures::of), met.taken().map(StepFigures::of), met.attended().map(StepFigures::of),
                    met.restored().map(StepFigures::of));
        }
    }

    record CabinetAvailability(long cabinetId, String code, SupplyFigures supply, ResponseFigures response) {
    }

    /**
     * @param until         what of the month is over ends here
     * @param notFitSeconds of the month, summed over cabinets, in use or not
     */
    record SiteAvailability(long siteId, String name, Instant from, Instant until, SupplyFigures supply, ResponseFigures response, long looksOnTime, long looksEnded,
            List<CabinetAvailability> cabinets, long notFitSeconds, List<NotFit> notFit) {
    }

    record Availability(String month, SupplyFigures supply, ResponseFigures response, long looksOnTime, long looksEnded, List<SiteAvailability> sites) {
    }

    @GET
    @Operation(operationId = "readAvailability", summary = "Reads how long the cabinets of every site had supply in a month",
            description = "The month of each site is on its own clocks.")
    @Parameter(name = "month", in = ParameterIn.QUERY, description = "A month like 2026-11; without it, the present one on the clocks of the operator",
            schema = @Schema(type = SchemaType.STRING))
    @APIResponseSchema(Availability.class)
    public Response read(@Context UriInfo address, @Context HttpHeaders headers) {
        Instant now = clock.instant();
        AllMonths.All all = months.of(month(address, now), now);
        return desk.found(Optional.of(new Availability(all.month().toString(), SupplyFigures.of(all.supply()), ResponseFigures.of(MetTotal.of(all.met())), all.looks().onTime(), all.looks().ended(),
                all.sites().stream().map(AvailabilityResource::site).toList())), headers);
    }

    private static SiteAvailability site(AllMonths.OfSite site) {
        return new SiteAvailability(site.site().id(), site.site().name(), site.span().from(), site.span().until(), SupplyFigures.of(site.supply()), ResponseFigures.of(MetTotal.of(site.met())),
                site.looks().onTime(), site.looks().ended(), site.cabinets().stream().map(each -> new CabinetAvailability(each.cabinet().cabinetId(), each.cabinet().code(),
                        SupplyFigures.of(each.supply()), ResponseFigures.of(each.met()))).toList(), site.unfitTime().toSeconds(), site.unfit().stream().flatMap(AvailabilityResource::notFit).toList());
    }

    private static Stream<NotFit> notFit(UnfitCabinet cabinet) {
        return cabinet.record().stretches().stream().map(each -> new NotFit(cabinet.cabinetId(), cabinet.code(), each.reason(), each.began(), each.ended(),
                Optional.of(each.because()).filter(words -> !words.isEmpty())));
    }

    private YearMonth month(UriInfo address, Instant now) {
        @Nullable String asked = address.getQueryParameters().getFirst("month");
        if (asked == null) {
            return months.present(now);
        }
        try {
            return YearMonth.parse(asked, MONTH);
        } catch (DateTimeParseException notAMonth) {
            throw new Refused(ProblemType.WRONG_PARAMETER, "Parameter month is \"" + asked + "\", must be a month like 2026-11.");
        }
    }
}
