package org.lampkeeper.message;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.SQLException;
import java.time.OffsetDateTime;
import java.time.ZoneOffset;
import java.util.stream.Stream;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;

import org.lampkeeper.register.Contact;
import org.lampkeeper.register.ErasingPerson;

/** With a person goes what tells who they were: what was written to them, where to, and their name in what others were told. */
@ApplicationScoped
class ErasedPeople {

    /** What stands in place of the name in a message to somebody else. */
    static final String SOMEBODY = "a person who was erased";

    private static final String NOT_NEEDED = """
            UPDATE outgoing_message SET state = 'NOT_NEEDED', ended_at = ?, next_attempt_at = NULL, leased_until = NULL
             WHERE person_id = ? AND state = 'WAITING'
            """;

    private static final String EMPTY = "UPDATE outgoing_message SET address = '', body = '', brief = NULL, last_error = NULL WHERE person_id = ?";

    /** By outgoing_message_by_call_out: only who was told of the same can have been told of this person. */
    private static final String UNNAME = """
            UPDATE outgoing_message SET subject = REPLACE(subject, ?, ?), body = REPLACE(body, ?, ?), brief = REPLACE(brief, ?, ?)
             WHERE call_out_id IN (SELECT o.call_out_id FROM outgoing_message o WHERE o.person_id = ?
                                   UNION SELECT c.id FROM call_out c WHERE c.taken_by = ?)
               AND (POSITION(? IN body) > 0 OR POSITION(? IN subject) > 0 OR POSITION(? IN brief) > 0)
            """;

    private final Database database;

    ErasedPeople(Database database) {
        this.database = database;
    }

    void erasing(@Observes ErasingPerson event) {
        Contact person = event.person();
        database.run("the messages to person " + person.personId() + " could not be emptied", connection -> {
            run(connection, NOT_NEEDED, OffsetDateTime.ofInstant(event.by().at(), ZoneOffset.UTC), person.personId());
            run(connection, EMPTY, person.personId());
            for (String told : Stream.concat(Stream.of(person.name()), Stream.concat(person.mail().stream(), person.phone().stream())).toList()) {
                run(connection, UNNAME, told, SOMEBODY, told, SOMEBODY, told, SOMEBODY, person.personId(), person.personId(), told, told, told);
            }
        });
    }

    private static void run(Connection connection, String sql, Object... arguments) throws SQLException {
        try (PreparedStatement statement = connection.prepareStatement(sql)) {
            for (int i = 0; i < arguments.length; i++) {
                statement.setObject(i + 1, arguments[i]);
            }
            statement.executeUpdate();
        }
    }
}
