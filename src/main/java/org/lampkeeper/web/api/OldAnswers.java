package org.lampkeeper.web.api;

import java.sql.Connection;
import java.sql.SQLException;
import java.time.Instant;

import jakarta.enterprise.context.ApplicationScoped;

import org.lampkeeper.watch.Retained;

/** Answers that are kept for a repeat. Each request with a key forgets old ones too; here they go where no further one comes. */
@ApplicationScoped
class OldAnswers implements Retained {

    @Override
    public String what() {
        return "api-answers";
    }

    @Override
    public int removeOld(Connection connection, Instant now, int most) throws SQLException {
        return AnswerTable.forgetBefore(connection, now.minus(Once.REMEMBERED), most);
    }
}
