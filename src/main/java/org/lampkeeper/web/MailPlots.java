package org.lampkeeper.web;

import java.time.Instant;
import java.util.Optional;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.transaction.Transactional;

import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.message.MailPicture;
import org.lampkeeper.message.MailPictures;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.Register;
import org.lampkeeper.report.Lettering;
import org.lampkeeper.web.Plot.Span;

/** The last day of a cabinet and the forecast, as the alarm page draws them, for the mail about an alarm of its warmth. */
@ApplicationScoped
class MailPlots implements MailPictures {

    /** By the primary key. */
    private static final String ALARM = "SELECT a.kind, a.cabinet_id, a.live FROM alarm a WHERE a.id = ? AND a.cabinet_id IS NOT NULL";

    private final Reads reads;
    private final Register register;
    private final PlotReading plots;

    MailPlots(Reads reads, Register register, PlotReading plots) {
        this.reads = reads;
        this.register = register;
        this.plots = plots;
    }

    private record About(AlarmKind kind, long cabinetId, boolean isLive) {
    }

    /** Read when they are first needed: an installation without mail needs none. */
    private static final class Letters {
        private static final Lettering REGULAR = Lettering.regular();
    }

    @Override
    @Transactional
    public Optional<MailPicture> of(long alarmId, Instant now) {
        return reads.first(ALARM, row -> new About(AlarmKind.valueOf(row.text("kind")), row.number("cabinet_id"), row.is("live")), alarmId)
                .filter(about -> AlarmPage.isAboutWarmth(about.kind()))
                .flatMap(about -> register.findSheet(about.cabinetId()).flatMap(sheet -> picture(sheet, about.isLive(), now)));
    }

    /** Nothing where nothing was measured in it. */
    private Optional<MailPicture> picture(CabinetSheet cabinet, boolean isLive, Instant now) {
        Plot.Input input = plots.input(cabinet.cabinetId(), Span.DAY, isLive, cabinet.site().zone(), now);
        if (input.readings().stream().noneMatch(each -> each.isMeasured())) {
            return Optional.empty();
        }
        PlotView view = Plot.of(input);
        String title = cabinet.name() + ", the last day" + (input.band().isPresent() ? " and what is to be expected" : "") + ", as known at "
                + Sentences.clock(now, cabinet.site().zone(), now);
        return Optional.of(new MailPicture(PlotPicture.png(view, title, Letters.REGULAR), title + ". " + Plot.said(input)));
    }
}
