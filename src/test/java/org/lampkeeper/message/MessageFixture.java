package org.lampkeeper.message;

import java.time.Instant;
import java.util.Optional;
import java.util.OptionalLong;

import org.lampkeeper.journal.Head;

/** Messages about North Stair 2, which lost its supply in the night. */
final class MessageFixture {

    static final Instant NOW = Instant.parse("2026-11-25T02:41:20Z");
    static final String SUBJECT = "North Stair 2 has no supply since 02:41. Board A way 4, C16 30 mA, 3 A fuse.";
    static final String BODY = "Inside 8.9 °C — Ærø quay.\n\n.a line that begins with a dot\nTake it: http://localhost:8080/a/" + "x".repeat(58) + "\n";
    static final String BASE = "http://localhost:8080/";
    static final Head HEAD = new Head(4711, "8c".repeat(32));

    private MessageFixture() {
    }

    static OutgoingMail mailTo(String address) {
        return new OutgoingMail(messageTo(address, "3f0c".repeat(8)), "Lampkeeper <lampkeeper@watch.example>", BASE, Optional.of("returned@watch.example"), HEAD);
    }

    static OutgoingMessage messageTo(String address, String key) {
        return messageTo(address, key, Optional.empty());
    }

    static OutgoingMessage briefly(String address, String key, String brief) {
        return messageTo(address, key, Optional.of(brief));
    }

    private static OutgoingMessage messageTo(String address, String key, Optional<String> brief) {
        return new OutgoingMessage(12, key, Purpose.ALARM, OptionalLong.of(5), OptionalLong.of(9), OptionalLong.of(3), OptionalLong.of(7),
                1000, "r-1000", "Métis Teal", address, SUBJECT, BODY, NOW, 0, NOW.plusSeconds(60), "MAIL", 12, OptionalLong.empty(), brief, OptionalLong.empty());
    }

    /** The same, with the report of this id. */
    static OutgoingMessage carrying(OutgoingMessage like, long monthReportId) {
        return new OutgoingMessage(like.id(), like.key(), Purpose.MONTH, like.callOutId(), like.alarmId(), like.site(), like.cabinet(), like.personId(), like.reference(),
                like.name(), like.address(), like.subject(), like.body(), like.createdAt(), like.attempts(), like.leasedUntil(), like.channel(), like.telling(),
                like.channelId(), like.brief(), OptionalLong.of(monthReportId));
    }

    static NewMessage newMessage(Purpose purpose, OptionalLong callOut, long person, String address, Instant now) {
        return new NewMessage(purpose, callOut, OptionalLong.empty(), person, address, SUBJECT, BODY, now);
    }
}
