package org.lampkeeper.watch;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;

import jakarta.inject.Inject;

import io.quarkus.test.junit.QuarkusTest;
import io.restassured.path.json.JsonPath;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.access.Role;
import org.lampkeeper.testing.SignedIn;
import org.lampkeeper.watch.WatchFixture.Place;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;
import static org.hamcrest.Matchers.containsString;
import static org.hamcrest.Matchers.not;

/** The month of all sites says of each what its own month says, and of all what their sum is: on the page, in the file and to programs. */
@QuarkusTest
class AllMonthsTest {

    private static final String MONTH = "2026-12";

    @Inject
    WatchFixture fixture;

    private Place place;
    private SignedIn reader;

    @BeforeEach
    void aLossOfThreeQuartersOfAnHour() {
        fixture.atNoonListening();
        place = fixture.place(2);
        reader = SignedIn.as(Role.RESPONSIBLE_PERSON);
        place.sensors().forEach(fixture::saysHealthy);
        fixture.passesWhileAllSay(place, true, Duration.ofMinutes(10));
        fixture.saysLost(place.first());
        fixture.passesWhileAllSay(place, sensor -> sensor != place.first(), Duration.ofMinutes(45));
        fixture.passes(Duration.ofMinutes(1));
        fixture.saysHealthy(place.first());
        fixture.passesWhileAllSay(place, true, Duration.ofMinutes(5));
    }

    @Test
    void fileHasEachCabinetEachSiteAndAllAndTheyAddUp() {
        List<Map<String, String>> rows = file();
        String name = reader.request().accept("application/json").get("/api/sites/" + place.siteId()).jsonPath().getString("name");
        List<Map<String, String>> own = rows.stream().filter(row -> row.get("site").equals(name)).toList();
        Map<String, String> lost = own.stream().filter(row -> row.get("losses").equals("1")).findFirst().orElseThrow();

        // 10 minutes with supply, 46 without, 5 with: since its first report at noon.
        assertThat(lost).containsEntry("of", "cabinet").containsEntry("with supply s", "900").containsEntry("without s", "2760").containsEntry("share with supply", "0.245901");
        assertThat(own).extracting(row -> row.get("of")).containsExactlyInAnyOrder("cabinet", "cabinet", "site");
        assertThat(own.stream().filter(row -> row.get("of").equals("site")).findFirst().orElseThrow()).containsEntry("with supply s", "4560").containsEntry("without s", "2760")
                .containsEntry("share with supply", "0.622950").containsEntry("longest loss s", "2760").containsEntry("mean loss s", "2760").containsEntry("cabinets", "2");
        for (Map<String, String> row : own) {
            boolean hadNone = row.get("losses").equals("0");
            assertThat(row).containsEntry("losses begun", hadNone ? "0" : "1").containsEntry("restored", hadNone ? "0" : "1").containsEntry("restored median s", hadNone ? "" : "2760")
                    .containsEntry("restored 90 % s", hadNone ? "" : "2760").containsEntry("restored longest s", hadNone ? "" : "2760").containsEntry("taken", "0")
                    .containsEntry("taken longest s", "").containsEntry("attended", "0");
        }
        for (String column : List.of("losses begun", "told", "taken", "attended", "restored", "cabinets", "with supply s", "without s", "not known s", "left out s", "losses")) {
            assertThat(sum(rows, "cabinet", column)).as("%s of cabinets and sites", column).isEqualTo(sum(rows, "site", column));
            assertThat(sum(rows, "site", column)).as("%s of sites and all", column).isEqualTo(sum(rows, "all", column));
        }
        assertThat(rows.stream().filter(row -> row.get("of").equals("all"))).hasSize(1);
    }

    @Test
    void pageLeadsToEachSiteWhoseMonthSaysTheSame() {
        String all = reader.browser().get("/month?month=" + MONTH).then().statusCode(200).body(containsString("All sites, December 2026, so far")).extract().asString();
        String own = reader.browser().get("/sites/" + place.siteId() + "/month?month=" + MONTH).then().statusCode(200).extract().asString();

        String line = all.substring(all.indexOf("/sites/" + place.siteId() + "/month"));
        line = line.substring(0, line.indexOf("</li>"));
        assertThat(line).contains("(2 cabinets): with supply 62.29 %", "<dt>Without</dt><dd>46 min</dd>", "1, longest 46 min, on average 46 min");
        assertThat(line).contains("Supply restored: 1 of 1 loss, after 46 min.", "Somebody was there: 0 of 1 loss.");
        assertThat(own).contains("Supply restored: 1 of 1 loss, after 46 min.", "62.29 % of it with supply", "with supply 24.59 %", "with supply 100 %");
        reader.browser().get("/sites").then().body(containsString("href=\"/month\""));
    }

    @Test
    void programsReadTheSameAndAMonthThatIsNoneIsRefused() {
        JsonPath told = reader.request().accept("application/json").get("/api/availability?month=" + MONTH).then().statusCode(200).extract().jsonPath();
        Map<String, Object> own = told.getMap("sites.find { it.siteId == " + place.siteId() + " }.supply");

        assertThat(own).containsEntry("cabinets", 2).containsEntry("suppliedSeconds", 4560).containsEntry("lostSeconds", 2760).containsEntry("longestLossSeconds", 2760);
        assertThat(((Number) own.get("withSupply")).doubleValue()).isCloseTo(4560.0 / 7320, within(1e-6));
        Map<String, Object> response = told.getMap("sites.find { it.siteId == " + place.siteId() + " }.response");
        assertThat(response).containsEntry("lossesBegun", 1).containsEntry("restored", Map.of("times", 1, "medianSeconds", 2760, "ninetiethSeconds", 2760, "longestSeconds", 2760))
                .doesNotContainKeys("taken", "attended");
        assertThat(told.getInt("response.lossesBegun")).isEqualTo((int) sum(file(), "all", "losses begun"));
        assertThat(told.getLong("supply.lostSeconds")).isEqualTo(sum(file(), "all", "without s"));
        reader.request().accept("application/json").get("/api/availability?month=December").then().statusCode(400).body(containsString("must be a month like 2026-11"));
    }

    @Test
    void whoeverDoesNotSeeEverySiteDoesNotSeeThis() {
        SignedIn ofOne = SignedIn.as(Role.RESPONSIBLE_PERSON, place.siteId());

        for (String address : List.of("/month", "/month/cabinets.csv", "/api/availability")) {
            ofOne.request().accept("*/*").get(address).then().statusCode(403);
        }
        ofOne.browser().get("/sites").then().statusCode(200).body(not(containsString("href=\"/month\"")));
    }

    private List<Map<String, String>> file() {
        String file = reader.request().accept("text/csv").get("/month/cabinets.csv?month=" + MONTH).then().statusCode(200).extract().asString();
        List<String> lines = file.lines().toList();
        List<String> columns = List.of(lines.get(0).replace("\uFEFF", "").split(","));
        List<Map<String, String>> rows = new ArrayList<>();
        for (String line : lines.subList(1, lines.size())) {
            // No name of these fixtures has a comma or a quote.
            String[] cells = line.split(",", -1);
            assertThat(cells).hasSameSizeAs(columns);
            Map<String, String> row = new java.util.HashMap<>();
            for (int i = 0; i < cells.length; i++) {
                row.put(columns.get(i), cells[i]);
            }
            rows.add(row);
        }
        return rows;
    }

    private static long sum(List<Map<String, String>> rows, String of, String column) {
        return rows.stream().filter(row -> row.get("of").equals(of)).mapToLong(row -> Long.parseLong(row.get(column))).sum();
    }
}
