package org.lampkeeper.web;

import java.net.URI;
import java.time.Clock;
import java.time.Instant;
import java.util.List;

import jakarta.ws.rs.DefaultValue;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import org.jboss.resteasy.reactive.RestPath;
import org.jboss.resteasy.reactive.RestQuery;

import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;
import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.message.Webhooks;
import org.lampkeeper.web.WebhookReading.DeliveryRow;
import org.lampkeeper.web.WebhookReading.EndpointRow;

/** Which programs outside hear of alarms, and did they? */
@Path("/webhooks")
@Produces(MediaType.TEXT_HTML)
@Needs(Right.EDIT_WEBHOOKS)
class WebhookResource {

    // Ours: a page that can be read.
    private static final int DELIVERIES_ON_A_PAGE = 30;

    private final WebhookReading reading;
    private final Webhooks webhooks;
    private final FormPage pages;
    private final Plant plant;
    private final CurrentCaller current;
    private final Clock clock;

    WebhookResource(WebhookReading reading, Webhooks webhooks, FormPage pages, Plant plant, CurrentCaller current, Clock clock) {
        this.reading = reading;
        this.webhooks = webhooks;
        this.pages = pages;
        this.plant = plant;
        this.current = current;
        this.clock = clock;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance webhooks(WebhooksView view);

        static native TemplateInstance webhook(WebhookView view);

        static native TemplateInstance secret(SecretView view);
    }

    record WebhooksView(Frame frame, String headline, List<Entry> webhooks) {

        record Entry(long id, String name, String host, String whose, String state, String look) {
        }
    }

    /**
     * @param said  what was just done; empty for nothing
     * @param older the address of the next page; empty on the last
     */
    record WebhookView(Frame frame, String headline, String look, String said, long id, boolean isOn, String url, String whose, String secret,
            List<Delivery> deliveries, boolean isFirstPage, String older) {

        /** {@code mayGoAgain}: it was given up, and its endpoint is on. */
        record Delivery(long id, Moment at, String event, String fate, String look, String body, String alarm, boolean mayGoAgain) {
        }
    }

    /** @param secret shown this one time */
    record SecretView(Frame frame, String headline, String intro, String secret, long id, String name) {
    }

    @GET
    public TemplateInstance list() {
        Instant now = clock.instant();
        List<EndpointRow> found = reading.endpoints(current.get().reach().sitesWith(Right.EDIT_WEBHOOKS));
        long failing = found.stream().filter(EndpointRow::isOn).filter(it -> it.failingSince().isPresent()).count();
        String headline = found.isEmpty() ? "No program outside hears of alarms."
                : failing > 0 ? failing + (failing == 1 ? " webhook takes" : " webhooks take") + " nothing at present."
                        : "Every webhook that is on takes what it is told.";
        return Templates.webhooks(new WebhooksView(pages.frame("Webhooks", "messages"), headline, found.stream().map(it -> new WebhooksView.Entry(it.id(),
                it.name(), URI.create(it.url()).getHost(), WebhookWords.whose(it), WebhookWords.state(it, now), WebhookWords.look(it))).toList()));
    }

    /** {@code said}: what was done just before; any word that is none of ours says nothing. */
    @GET
    @Path("{webhook:\\d{1,18}}")
    public TemplateInstance page(@RestPath long webhook, @RestQuery @DefaultValue("" + Long.MAX_VALUE) long before,
            @RestQuery @DefaultValue("") String said) {
        Instant now = clock.instant();
        EndpointRow endpoint = reading.endpoint(webhook);
        List<DeliveryRow> found = reading.deliveries(webhook, before, DELIVERIES_ON_A_PAGE + 1);
        boolean hasOlder = found.size() > DELIVERIES_ON_A_PAGE;
        List<DeliveryRow> shown = hasOlder ? found.subList(0, DELIVERIES_ON_A_PAGE) : found;
        String words = switch (said) {
            case "tested" -> "The test is on its way; look again in a moment.";
            case "again" -> "It is on its way again; look again in a moment.";
            case "not" -> "Nothing was sent: the webhook is off, or it was taken meanwhile.";
            default -> "";
        };
        String secret = endpoint.secretBeforeUntil().filter(now::isBefore)
                .map(until -> "changed; the one before signs as well until " + Sentences.clock(until, endpoint.zone(), now)).orElse("told once");
        return Templates.webhook(new WebhookView(pages.frame(endpoint.name(), "messages"), endpoint.name() + " " + WebhookWords.state(endpoint, now)
                + ".", WebhookWords.look(endpoint), words, webhook, endpoint.isOn(), endpoint.url(), WebhookWords.whose(endpoint), secret,
                shown.stream().map(it -> delivery(it, endpoint, now)).toList(), before == Long.MAX_VALUE,
                hasOlder ? "/webhooks/" + webhook + "?before=" + shown.get(shown.size() - 1).id() : ""));
    }

    private static WebhookView.Delivery delivery(DeliveryRow row, EndpointRow endpoint, Instant now) {
        return new WebhookView.Delivery(row.id(), Moment.of(row.at(), endpoint.zone(), now), row.event(), WebhookWords.fate(row, endpoint, now),
                WebhookWords.look(row), row.body(), row.alarmId().isPresent() ? "/alarms/" + row.alarmId().getAsLong() : "",
                row.state().equals("UNDELIVERED") && endpoint.isOn());
    }

    /** Pressed again it makes another secret again: each is shown once, and the last two count for a while. */
    @POST
    @Path("{webhook:\\d{1,18}}/secret")
    public Response renewSecret(@RestPath long webhook) {
        EndpointRow endpoint = reading.endpoint(webhook);
        return secretOnce(pages, webhook, endpoint.name(), webhooks.renewSecret(webhook, plant.by()), true);
    }

    static Response secretOnce(FormPage pages, long webhook, String name, String secret, boolean isRenewed) {
        String headline = isRenewed ? "The new secret of " + name + " is shown this once." : name + " is registered; its secret is shown this once.";
        return Response.ok(Templates.secret(new SecretView(pages.frame("The secret of " + name, "messages"), headline,
                isRenewed ? "Both sign for a while, so that the receiver can change over without missing anything."
                        : "By it the receiver knows that an event is ours.", secret, webhook, name)).render())
                .type(MediaType.TEXT_HTML_TYPE.withCharset("UTF-8")).build();
    }

    @POST
    @Path("{webhook:\\d{1,18}}/test")
    public Response test(@RestPath long webhook) {
        return FormPage.done("/webhooks/" + webhook + "?said=" + (webhooks.test(webhook, plant.by()).isPresent() ? "tested" : "not"));
    }

    @POST
    @Path("deliveries/{delivery:\\d{1,18}}/again")
    public Response again(@RestPath long delivery) {
        return FormPage.done("/webhooks/" + reading.endpointOf(delivery) + "?said=" + (webhooks.again(delivery, plant.by()) ? "again" : "not"));
    }
}
