package org.lampkeeper.web;

import java.sql.SQLException;
import java.time.Clock;
import java.time.Instant;
import java.time.ZoneId;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.List;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

import jakarta.ws.rs.DefaultValue;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;
import org.eclipse.microprofile.config.inject.ConfigProperty;
import org.jboss.resteasy.reactive.RestQuery;

import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.access.Reach;
import org.lampkeeper.access.Right;
import org.lampkeeper.web.MessageWords.Fate;
import org.lampkeeper.web.Reads.Row;

/** What was sent to whom, and did it arrive? */
@Path("/messages")
@Produces(MediaType.TEXT_HTML)
class MessageResource {

    // Ours: a page that can be read.
    private static final int MESSAGES_ON_A_PAGE = 30;

    /** By the primary key, backwards: newest first. */
    private static final String MESSAGES_BEFORE = """
            SELECT m.id, m.address, m.subject, m.body, m.created_at, m.state, m.channel, m.attempts, m.next_attempt_at, m.ended_at,
                   m.last_error, m.arrival, m.arrival_at, p.name, s.zone
              FROM outgoing_message m
              JOIN person p ON p.id = m.person_id
              LEFT JOIN alarm a ON a.id = m.alarm_id
              LEFT JOIN site s ON s.id = a.site_id
             WHERE m.id < ? AND (? OR a.site_id = ANY (?))
             ORDER BY m.id DESC
             LIMIT ?
            """;

    // Ours: how many of them a reader has to worry about; the newest page answers it for now.
    private static final String NOT_ARRIVED = """
            SELECT COUNT(*) AS failed
              FROM outgoing_message m
              LEFT JOIN alarm a ON a.id = m.alarm_id
             WHERE m.state = 'UNDELIVERED' AND m.created_at > ? AND (? OR a.site_id = ANY (?))
            """;

    /** A link that takes an alarm, or sets a password, inside a text. */
    private static final Pattern LINK = Pattern.compile("https?://\\S*?(/(?:a|invitation)/[A-Za-z0-9_.~-]+)");

    private final Reads reads;
    private final SupplyReading supply;
    private final CurrentCaller current;
    private final boolean isDemo;
    private final Clock clock;

    MessageResource(Reads reads, SupplyReading supply, CurrentCaller current, @ConfigProperty(name = "lampkeeper.demo", defaultValue = "false") boolean isDemo,
            Clock clock) {
        this.reads = reads;
        this.supply = supply;
        this.current = current;
        this.isDemo = isDemo;
        this.clock = clock;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance messages(MessagesView view);
    }

    /** {@code older}: the address of the next page; empty on the last. {@code hasWebhooks}: whether the reader may see to them. */
    record MessagesView(Frame frame, String headline, boolean isDemo, boolean hasWebhooks, List<Entry> messages, boolean isFirstPage, String older) {

        record Entry(long id, Moment at, String person, String address, String subject, String fate, String look, List<Piece> body) {
        }

        /** A stretch of the text; {@code href} is empty where it is no link. */
        record Piece(String text, String href) {
        }
    }

    @GET
    public TemplateInstance list(@RestQuery @DefaultValue("" + Long.MAX_VALUE) long before) {
        Instant now = clock.instant();
        Reach reach = current.get().reach();
        List<MessagesView.Entry> found = reads.list(MESSAGES_BEFORE, row -> entry(row, now), before, reach, MESSAGES_ON_A_PAGE + 1);
        boolean hasOlder = found.size() > MESSAGES_ON_A_PAGE;
        List<MessagesView.Entry> shown = hasOlder ? found.subList(0, MESSAGES_ON_A_PAGE) : found;
        long failed = reads.first(NOT_ARRIVED, row -> row.number("failed"), now.minusSeconds(86_400), reach).orElse(0L);
        return Templates.messages(new MessagesView(SupplyPage.frame("Messages", "messages", supply.outline(), now), headline(shown, failed), isDemo,
                reach.maySomewhere(Right.EDIT_WEBHOOKS), shown, before == Long.MAX_VALUE,
                hasOlder ? "/messages?before=" + shown.get(shown.size() - 1).id() : ""));
    }

    private static String headline(List<MessagesView.Entry> shown, long failed) {
        if (failed > 0) {
            return failed == 1 ? "One message of the last day could not be delivered." : failed
                    + " messages of the last day could not be delivered.";
        }
        return shown.isEmpty() ? "Nothing has been sent yet." : "Every message of the last day is on its way or was handed over.";
    }

    private MessagesView.Entry entry(Row row, Instant now) throws SQLException {
        ZoneId zone = row.optionalText("zone").map(ZoneId::of).orElse(ZoneOffset.UTC);
        Fate fate = Fate.read(row);
        return new MessagesView.Entry(row.number("id"), Moment.of(row.instant("created_at"), zone, now), row.text("name"), row.text("address"),
                row.text("subject"), MessageWords.of(fate, zone, now), MessageWords.look(fate), pieces(row.text("body"), isDemo));
    }

    /**
     * The text in pieces. A link takes an alarm, or lets somebody in, in the name of the person it was sent to, so it is shown to nobody else; in demo mode the
     * newcomer is everybody, and gets it to press.
     */
    static List<MessagesView.Piece> pieces(String body, boolean showsLinks) {
        List<MessagesView.Piece> pieces = new ArrayList<>();
        Matcher link = LINK.matcher(body);
        int from = 0;
        while (link.find()) {
            pieces.add(new MessagesView.Piece(body.substring(from, link.start()), ""));
            pieces.add(showsLinks ? new MessagesView.Piece(link.group(), link.group(1))
                    : new MessagesView.Piece("[the link, which only the person told may use]", ""));
            from = link.end();
        }
        pieces.add(new MessagesView.Piece(body.substring(from), ""));
        return List.copyOf(pieces);
    }
}
