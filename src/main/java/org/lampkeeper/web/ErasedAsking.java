package org.lampkeeper.web;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.SQLException;

import javax.sql.DataSource;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;

import org.lampkeeper.register.ErasingPerson;

/** What a person once sent or was answered, and what others were answered about them, goes with them. */
@ApplicationScoped
class ErasedAsking {

    private static final String ANSWERS = "DELETE FROM api_answer WHERE person_id = ? OR POSITION(? IN COALESCE(body, '')) > 0";
    private static final String FILES = "DELETE FROM csv_import WHERE person_id = ? AND state <> 'TAKING'";

    private final DataSource database;

    ErasedAsking(DataSource database) {
        this.database = database;
    }

    void erasing(@Observes ErasingPerson event) {
        long personId = event.person().personId();
        try (Connection connection = database.getConnection();
                PreparedStatement answers = connection.prepareStatement(ANSWERS);
                PreparedStatement files = connection.prepareStatement(FILES)) {
            answers.setLong(1, personId);
            answers.setString(2, "\"name\":\"" + event.person().name() + "\"");
            answers.executeUpdate();
            files.setLong(1, personId);
            files.executeUpdate();
        } catch (SQLException failed) {
            throw new IllegalStateException("what person " + personId + " asked for could not be forgotten", failed);
        }
    }
}
