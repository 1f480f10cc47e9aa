package org.lampkeeper.upkeep;

import java.sql.Connection;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.util.List;
import java.util.Set;
import java.util.TreeSet;

import jakarta.inject.Inject;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import io.agroal.api.AgroalDataSource;
import io.quarkus.test.junit.QuarkusTest;
import io.quarkus.test.junit.TestProfile;
import org.junit.jupiter.api.Test;

import org.lampkeeper.access.Role;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.testing.WithDemo;

import static org.assertj.core.api.Assertions.assertThat;

/** Nothing that is held about a person is forgotten, and nothing is handed out with which somebody could pass for them. */
@QuarkusTest
@TestProfile(WithDemo.class)
class HeldAboutPersonTest {

    /** Columns with the number of a person under another name would be missed: whoever adds one says so here, or names it as the others. */
    private static final Set<String> MAY_POINT = Set.of("person", "by", "for", "who", "taker", "owner", "holder", "teller", "asked", "told");

    @Inject
    AgroalDataSource database;

    @Test
    void everyForeignKeyToAPersonIsFound() throws SQLException {
        try (Connection connection = database.getConnection()) {
            Set<String> found = new TreeSet<>();
            HeldAboutPerson.pointing(connection).forEach((table, columns) -> columns.forEach(column -> found.add(table + "." + column)));
            Set<String> keys = new TreeSet<>();
            try (ResultSet rows = connection.getMetaData().getExportedKeys(null, "public", "person")) {
                while (rows.next()) {
                    keys.add(rows.getString("FKTABLE_NAME").toLowerCase() + "." + rows.getString("FKCOLUMN_NAME").toLowerCase());
                }
            }

            assertThat(keys).hasSizeGreaterThan(10);
            assertThat(found).containsAll(keys);
            assertThat(found).contains("check_record.person_id", "outgoing_message.person_id", "alarm.acknowledged_by", "attendance_entry.written_by",
                    "call_out.asked_person", "proof_test.told_person", "handover.installer_signed_by");
        }
    }

    @Test
    void columnThatMayPointToAPersonIsNamedAsTheOthers() throws SQLException {
        try (Connection connection = database.getConnection(); ResultSet columns = connection.getMetaData().getColumns(null, "public", "%", "%")) {
            while (columns.next()) {
                String name = columns.getString("COLUMN_NAME").toLowerCase();
                List<String> words = List.of(name.replaceAll("_id$", "").split("_"));
                if (columns.getInt("DATA_TYPE") == java.sql.Types.BIGINT && MAY_POINT.contains(words.get(words.size() - 1))) {
                    assertThat(HeldAboutPerson.POINTS_TO_PERSON.matcher(name).matches() || name.equals("told")).as(columns.getString("TABLE_NAME") + "." + name).isTrue();
                }
            }
        }
    }

    @Test
    void whoHasSignedInGetsTheirOwnAndNoSecret() throws Exception {
        SignedIn somebody = SignedIn.as(Role.ADMINISTRATOR);

        String file = somebody.request().get("/me/held.json").then().statusCode(200).extract().asString();

        JsonNode held = new ObjectMapper().readTree(file);
        assertThat(held.get("person").get(0).get("name").asText()).isEqualTo(somebody.name());
        assertThat(held.get("role_grant").get(0).get("role").asText()).isEqualTo("ADMINISTRATOR");
        assertThat(held.get("sign_in")).isNotEmpty();
        assertThat(file).doesNotContain("hash", "salt", somebody.cookie());
    }

    @Test
    void onlyWhoMayChangePeopleEverywhereGetsThatOfAnother() {
        SignedIn somebody = SignedIn.as(Role.ADMINISTRATOR);

        SignedIn.as(Role.ADMINISTRATOR).request().get("/people/" + somebody.personId() + "/held.json").then().statusCode(200);
        SignedIn.as(Role.RESPONSIBLE_PERSON).request().get("/people/" + somebody.personId() + "/held.json").then().statusCode(403);
    }
}
