package org.lampkeeper.web;

import java.time.Clock;
import java.util.Optional;
import java.util.OptionalLong;

import jakarta.enterprise.inject.Instance;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.Context;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.sse.OutboundSseEvent;
import jakarta.ws.rs.sse.Sse;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import io.quarkus.vertx.http.runtime.CurrentVertxRequest;
import io.smallrye.common.annotation.Blocking;
import io.smallrye.mutiny.Multi;
import org.eclipse.microprofile.config.inject.ConfigProperty;
import org.jboss.resteasy.reactive.RestQuery;
import org.jspecify.annotations.Nullable;

import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.access.Reach;
import org.lampkeeper.access.Right;
import org.lampkeeper.access.SignIns;
import org.lampkeeper.demo.DemoSwitch;
import org.lampkeeper.watch.WarmthBook;
import org.lampkeeper.web.Editions.Edition;
import org.lampkeeper.web.Editions.Key;
import org.lampkeeper.web.SupplyPage.Wish;
import org.lampkeeper.web.SupplyReading.Snapshot;

/** Has everything supply, and if not, where is the line broken? */
@Path("/")
class SupplyResource {

    // Ours: longer than any name on the page.
    private static final int FILTER_AT_MOST = 80;
    // Ours: a stream outlives the request that opened it, so who watches is looked up again every ten seconds.
    private static final int TICKS_UNTIL_ASKED_AGAIN = 10;

    private final SupplyReading supply;
    private final LiveSupply live;
    private final DemoNotice notice;
    private final WebConfig config;
    private final Instance<DemoSwitch> demo;
    private final CurrentCaller current;
    private final CurrentVertxRequest http;
    private final SessionCookie cookie;
    private final SignIns signIns;
    private final WarmthBook warmth;
    private final boolean isDemo;
    private final Clock clock;

    SupplyResource(SupplyReading supply, LiveSupply live, DemoNotice notice, WebConfig config, Instance<DemoSwitch> demo, CurrentCaller current,
            CurrentVertxRequest http, SessionCookie cookie, SignIns signIns,
            WarmthBook warmth, @ConfigProperty(name = "lampkeeper.demo", defaultValue = "false") boolean isDemo, Clock clock) {
        this.supply = supply;
        this.live = live;
        this.notice = notice;
        this.config = config;
        this.demo = demo;
        this.current = current;
        this.http = http;
        this.cookie = cookie;
        this.signIns = signIns;
        this.warmth = warmth;
        this.isDemo = isDemo;
        this.clock = clock;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance supply(SupplyView view);

        static native TemplateInstance live(SupplyView view);
    }

    /** {@code q} filters by name; {@code site} unfolds one; {@code away} and {@code back} name what a demo button has just switched. */
    @GET
    @Produces(MediaType.TEXT_HTML)
    @Blocking
    public TemplateInstance page(@RestQuery @Nullable String q, @RestQuery @Nullable Long site, @RestQuery @Nullable String away,
            @RestQuery @Nullable String back) {
        Picture picture = picture(supply.everything(), current.get().reach());
        String pressed = isDemo ? notice.after(Optional.ofNullable(away), Optional.ofNullable(back), picture.snapshot()) : "";
        return Templates.supply(SupplyPage.compose(picture, wish(q, site), config.foldOver(), switches(), pressed, warmth::sentences));
    }

    /** The part of the page that changes, whenever it did; in between, that the connection stands. */
    @GET
    @Path("supply/live")
    @Produces(MediaType.SERVER_SENT_EVENTS)
    @Blocking
    public Multi<OutboundSseEvent> live(@RestQuery @Nullable String q, @RestQuery @Nullable Long site, @Context Sse sse) {
        Wish wish = wish(q, site);
        Watcher watcher = new Watcher(sse, cookie.read(http.getCurrent().request()).orElse(""), current.get().reach());
        return live.snapshots().map(snapshot -> watcher.eventFor(snapshot, wish)).onFailure(SessionEnded.class).recoverWithCompletion()
                .filter(Optional::isPresent).map(Optional::get);
    }

    private Picture picture(Snapshot snapshot, Reach reach) {
        return new Picture(snapshot, config.listeningWithin(), clock.instant()).seenBy(reach);
    }

    /** Who watches is nobody any more: they signed out, or were signed out. */
    private static final class SessionEnded extends RuntimeException {

        private static final long serialVersionUID = 1L;
    }

    private static Wish wish(@Nullable String filter, @Nullable Long site) {
        String typed = filter == null ? "" : filter.strip();
        return new Wish(typed.substring(0, Math.min(typed.length(), FILTER_AT_MOST)),
                site == null ? OptionalLong.empty() : OptionalLong.of(site));
    }

    private Optional<DemoSwitch> switches() {
        return isDemo && demo.isResolvable() ? Optional.of(demo.get()) : Optional.empty();
    }

    /** What one reader was sent last; used by one stream at a time. */
    private final class Watcher {

        private final Sse sse;
        private final String session;
        private Reach reach;
        private long lastShown;
        private int ticksSince;
        private int ticksKnown;

        private Watcher(Sse sse, String session, Reach reach) {
            this.sse = sse;
            this.session = session;
            this.reach = reach;
        }

        private Optional<OutboundSseEvent> eventFor(Snapshot snapshot, Wish wish) {
            if (++ticksKnown >= TICKS_UNTIL_ASKED_AGAIN) {
                ticksKnown = 0;
                reach = signIns.find(session).orElseThrow(SessionEnded::new).caller().reach();
            }
            Edition edition = live.editions().at(snapshot, new Key(reach.sitesWith(Right.SEE), wish),
                    () -> SupplyPage.compose(picture(snapshot, reach), wish, config.foldOver(), switches(), "", warmth::sentences), view -> Templates.live(view).render());
            // Number 0 is nobody's: whoever comes, or comes back after a lost connection, is sent what is true now.
            boolean isNews = edition.number() != lastShown;
            ticksSince++;
            if (!isNews && LiveSupply.EVERY.multipliedBy(ticksSince).compareTo(config.heartbeat()) < 0) {
                return Optional.empty();
            }
            boolean hasTheOneBefore = edition.before() != 0 && edition.before() == lastShown;
            lastShown = edition.number();
            ticksSince = 0;
            return Optional.of(isNews ? sse.newEventBuilder().name("supply").data((hasTheOneBefore ? edition.change() : edition.html()).get()).build()
                    : sse.newEventBuilder().name("heartbeat").data(edition.frame().iso() + " " + edition.frame().clock()).build());
        }
    }
}
