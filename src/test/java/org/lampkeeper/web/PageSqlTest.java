package org.lampkeeper.web;

import java.sql.SQLException;
import java.time.Clock;
import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneOffset;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;

import com.fasterxml.jackson.databind.ObjectMapper;
import io.agroal.api.AgroalDataSource;
import io.agroal.api.configuration.supplier.AgroalDataSourceConfigurationSupplier;
import io.agroal.api.security.NamePrincipal;
import io.agroal.api.security.SimplePassword;

import org.lampkeeper.access.Caller;
import org.lampkeeper.access.Grant;
import org.lampkeeper.access.Reach;
import org.lampkeeper.access.Role;
import org.lampkeeper.alarm.AlarmKind;
import org.lampkeeper.alarm.AlarmRates.Change;
import org.lampkeeper.alarm.AlarmRates.Source;
import org.lampkeeper.register.AnyDatabaseDriver;
import org.lampkeeper.supply.Reading;
import org.lampkeeper.testing.BothDatabases;
import org.lampkeeper.testing.TestDatabase;
import org.lampkeeper.web.AlarmReading.AlarmRow;
import org.lampkeeper.web.DutyReading.SiteDuty;
import org.lampkeeper.web.JournalReading.EntryRow;
import org.lampkeeper.web.JournalReading.Wish;
import org.lampkeeper.web.SupplyReading.CabinetRow;
import org.lampkeeper.web.SupplyReading.Snapshot;
import org.lampkeeper.web.SupplyReading.Told;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.tuple;

/** The statements behind the pages say the same on H2 and on PostgreSQL. */
class PageSqlTest {

    private static final Reach EVERYWHERE = Reach.of(List.of(Grant.everywhere(Role.ADMINISTRATOR)));
    private static final Instant SINCE = Instant.parse("2026-11-25T02:41:00.123456Z");

    @BothDatabases
    void snapshotHoldsEveryCabinetWithWhatFeedsItAndWhatIsWrong(TestDatabase database) throws SQLException {
        fill(database);
        try (AgroalDataSource source = source(database)) {
            Snapshot snapshot = supply(source, new RequestCaller()).everything();

            assertThat(snapshot.cabinets()).extracting(CabinetRow::code).containsExactly("C2", "C10", "C0");
            assertThat(snapshot.cabinets().get(0).circuit().orElseThrow().device()).isEqualTo("C16, 30 mA");
            assertThat(snapshot.cabinets().get(0).sensor().orElseThrow().state().reading()).isEqualTo(Reading.LOST);
            assertThat(snapshot.cabinets().get(0).sensor().orElseThrow().state().lostSince()).contains(SINCE);
            assertThat(snapshot.cabinets().get(0).sensor().orElseThrow().inside()).isEmpty();
            assertThat(snapshot.cabinets().get(1).circuit().orElseThrow().device()).isEqualTo("B6");
            assertThat(snapshot.cabinets().get(2).circuit()).isEmpty();
            assertThat(snapshot.cabinets().get(2).sensor()).isEmpty();
            assertThat(snapshot.alarms()).singleElement().satisfies(alarm -> {
                assertThat(alarm.kind()).isEqualTo(AlarmKind.SUPPLY_LOST);
                assertThat(alarm.hasIt()).isEmpty();
            });
            assertThat(snapshot.toldByCallOut()).isEqualTo(Map.of(70L, new Told("M. Teal", SINCE)));
            assertThat(snapshot.lastListenedAt()).isEmpty();
        }
    }

    @BothDatabases
    void alarmComesWithWhoWasToldAndPastOnesPageByPage(TestDatabase database) throws SQLException {
        fill(database);
        try (AgroalDataSource source = source(database)) {
            AlarmReading alarms = new AlarmReading(new Reads(source));
            AlarmRow open = alarms.alarm(80).orElseThrow();

            assertThat(open.where()).isEqualTo("Two");
            assertThat(open.callOut().orElseThrow().told()).isOne();
            assertThat(alarms.told(open)).hasSize(2);
            assertThat(alarms.done(open)).isEmpty();
            assertThat(alarms.together(open, 20)).isEmpty();
            assertThat(alarms.countTogether(open)).isZero();
            assertThat(alarms.open(EVERYWHERE)).extracting(AlarmRow::id).containsExactly(80L);
            assertThat(alarms.past(Long.MAX_VALUE, 10, EVERYWHERE)).extracting(AlarmRow::id).containsExactly(79L);
            assertThat(alarms.past(79, 10, EVERYWHERE)).isEmpty();
            assertThat(alarms.open(Reach.of(List.of(Grant.at(Role.SITE_STAFF, 10))))).hasSize(1);
            assertThat(alarms.open(Reach.of(List.of(Grant.at(Role.SITE_STAFF, 11))))).isEmpty();
            assertThat(alarms.past(Long.MAX_VALUE, 10, Reach.nowhere())).isEmpty();
            assertThat(alarms.alarm(1)).isEqualTo(Optional.empty());
        }
    }

    @BothDatabases
    void plotOfACabinetIsReadFromItsQuartersWhatIsKnownNowAndItsDays(TestDatabase database) throws SQLException {
        fill(database);
        database.run("""
                UPDATE sensor_status SET observed_at = '%1$s', inside_at = '%1$s', inside_c = 7.5, outside_c = 1, content_at = '%1$s', content_c = 7,
                    content_least_c = 6.75, content_most_c = 7 WHERE sensor_id = 50""".formatted(SINCE));
        long quarter = SINCE.getEpochSecond() / 900;
        database.run("""
                INSERT INTO sensor_quarter (sensor_id, quarter, observed_at, reading, inside_c, outside_c, door_open, content_c, content_least_c)
                VALUES (50, %d, '%s', 'HEALTHY', 8, 2, TRUE, 7.25, 7)""".formatted(quarter - 2, SINCE.minusSeconds(1800)));
        database.run("""
                INSERT INTO sensor_day (sensor_id, on_day, quarters, quarters_lost, inside_min_c, inside_mean_c, inside_max_c, heater_known, heater_on, door_known,
                    door_open, content_min_c, content_mean_c, content_max_c) VALUES (50, %d, 96, 3, 6, 7, 8, 0, 0, 0, 0, 5, 6.5, 7.5)""".formatted(quarter / 96 - 1));
        try (AgroalDataSource source = source(database)) {
            PlotReading reading = new PlotReading(new Reads(source), null, null);

            assertThat(reading.readings(30, Plot.Span.DAY, SINCE.minus(Plot.Span.DAY.length()))).extracting(Plot.Reading::inside, Plot.Reading::outside,
                    Plot.Reading::content, Plot.Reading::lost, Plot.Reading::doorOpen).containsExactly(
                            tuple(figure(8, 8, 8), figure(2, 2, 2), figure(7.25, 7, 7.25), false, true),
                            tuple(new Plot.Figure(Optional.of(7.5), Optional.empty()), Plot.Figure.NONE, figure(7, 6.75, 7), true, false));
            assertThat(reading.readings(30, Plot.Span.YEAR, SINCE.minus(Plot.Span.YEAR.length()))).extracting(Plot.Reading::inside, Plot.Reading::content, Plot.Reading::lost)
                    .containsExactly(tuple(figure(7, 6, 8), figure(6.5, 5, 7.5), true));
            assertThat(reading.readings(31, Plot.Span.WEEK, SINCE.minus(Plot.Span.WEEK.length()))).isEmpty();
        }
    }

    @BothDatabases
    void nextLookOfACabinetIsTheFirstThatHasNotOpened(TestDatabase database) throws SQLException {
        fill(database);
        database.run("""
                INSERT INTO check_plan (id, site_id, cabinet_id, kind, rule, first_day, opens_minute, closes_minute, grace_minutes, when_closed, asked_role,
                    sensor_counts, changed_at, version)
                VALUES (90, 10, 30, 'LAMP', 'FREQ=DAILY', DATE '2026-11-01', 540, 600, 0, 'SKIP', 'SITE_DUTY', FALSE, CURRENT_TIMESTAMP, 0)""");
        for (int day = 24; day <= 27; day++) {
            database.run("""
                    INSERT INTO check_due (id, plan_id, site_id, cabinet_id, kind, on_day, opens_at, closes_at, missed_at, by_somebody_else, opened_at, state, version)
                    VALUES (%1$d, 90, 10, 30, 'LAMP', DATE '2026-11-%1$d', TIMESTAMP WITH TIME ZONE '2026-11-%1$d 09:00:00+00',
                        TIMESTAMP WITH TIME ZONE '2026-11-%1$d 10:00:00+00', TIMESTAMP WITH TIME ZONE '2026-11-%1$d 10:00:00+00', FALSE, %2$s, 'OPEN', 0)"""
                    .formatted(day, day == 25 ? "CURRENT_TIMESTAMP" : "NULL"));
        }
        try (AgroalDataSource source = source(database)) {
            CheckReading reading = new CheckReading(new Reads(source));

            assertThat(reading.nextOf(30, LocalDate.of(2026, 11, 25)).orElseThrow().due().day()).isEqualTo(LocalDate.of(2026, 11, 26));
            assertThat(reading.nextOf(30, LocalDate.of(2026, 11, 28))).isEmpty();
            assertThat(reading.nextOf(31, LocalDate.of(2026, 11, 25))).isEmpty();
        }
    }

    @BothDatabases
    void alarmThatIsOverAndCalledOutWaitsUntilSomebodySaysWhatWasDone(TestDatabase database) throws SQLException {
        fill(database);
        database.run("UPDATE alarm SET closed_at = '" + SINCE + "', state = 'NORMAL', live = FALSE WHERE id = 80");
        try (AgroalDataSource source = source(database)) {
            AlarmReading alarms = new AlarmReading(new Reads(source));

            assertThat(alarms.unattended(10, EVERYWHERE)).extracting(AlarmRow::id).containsExactly(80L);
            assertThat(alarms.unattended(10, Reach.nowhere())).isEmpty();
            assertThat(supply(source, new RequestCaller()).everything().unattendedAt()).containsExactly(10L);

            database.run("UPDATE alarm SET attended_at = '" + SINCE + "' WHERE id = 80");

            assertThat(alarms.unattended(10, EVERYWHERE)).isEmpty();
        }
    }

    @BothDatabases
    void outlineOfAPageSaysWhatTheWholeSupplyWouldSay(TestDatabase database) throws SQLException {
        fill(database);
        database.run("UPDATE alarm SET closed_at = '" + SINCE + "', state = 'NORMAL', live = FALSE WHERE id = 80");
        try (AgroalDataSource source = source(database)) {
            for (Reach reach : List.of(EVERYWHERE, Reach.of(List.of(Grant.at(Role.SITE_STAFF, 10))),
                    Reach.of(List.of(Grant.at(Role.SITE_STAFF, 11))), Reach.nowhere())) {
                RequestCaller caller = new RequestCaller();
                caller.is(new Caller(1, "R. Osk", "reference", reach), OptionalLong.empty());
                SupplyReading supply = supply(source, caller);

                assertThat(supply.outline()).isEqualTo(supply.now().outline());
            }
            RequestCaller everybody = new RequestCaller();
            everybody.is(new Caller(1, "R. Osk", "reference", EVERYWHERE), OptionalLong.empty());
            assertThat(supply(source, everybody).outline().alarmsToSee()).isPositive();
        }
    }

    @BothDatabases
    void cabinetComesWithItsLastReportAndItsWork(TestDatabase database) throws SQLException {
        fill(database);
        database.run("UPDATE sensor_status SET received_at = '" + SINCE + "', battery_percent = 87, heater_on = TRUE");
        database.run(work(1, "NULL", "NULL", "NULL"));
        database.run(work(2, "20", "NULL", "NULL"));
        database.run(work(3, "NULL", "31", "NULL"));
        database.run(work(4, "NULL", "NULL", "'" + SINCE + "'"));
        try (AgroalDataSource source = source(database)) {
            CabinetReading cabinets = new CabinetReading(new Reads(source));

            assertThat(cabinets.lastReport(30)).contains(new CabinetReading.LastReport("d", Optional.of(SINCE), Optional.of(87.0), Optional.of(true),
                    Optional.empty()));
            assertThat(cabinets.lastReport(32)).isEmpty();
            assertThat(cabinets.work(30, SINCE)).extracting(CabinetReading.WorkRow::reason).containsExactly("reason 1", "reason 2");
            assertThat(cabinets.work(30, SINCE.plusSeconds(7200))).isEmpty();
        }
    }

    @BothDatabases
    void journalIsReadAsFarAsTheReaderMay(TestDatabase database) throws SQLException {
        fill(database);
        database.run(entry(1, "alarm-raised", "10", "30"));
        database.run(entry(2, "listening-began", "0", "NULL"));
        database.run(entry(3, "signed-in", "NULL", "NULL"));
        database.run(entry(4, "supply-returned", "10", "30"));
        try (AgroalDataSource source = source(database)) {
            JournalReading journal = new JournalReading(new Reads(source), new ObjectMapper());
            Reach there = Reach.of(List.of(Grant.at(Role.RESPONSIBLE_PERSON, 10)));
            Wish alarms = new Wish(OptionalLong.of(10), OptionalLong.of(30), "alarm-raised", Optional.of(SINCE), Optional.of(SINCE.plusSeconds(1)));

            assertThat(journal.entries(Wish.EVERYTHING, Long.MAX_VALUE, 10, EVERYWHERE)).extracting(EntryRow::id).containsExactly(4L, 3L, 2L, 1L);
            assertThat(journal.entries(Wish.EVERYTHING, 4, 1, EVERYWHERE)).extracting(EntryRow::id).containsExactly(3L);
            assertThat(journal.entries(Wish.EVERYTHING, Long.MAX_VALUE, 10, there)).extracting(EntryRow::id).containsExactly(4L, 1L);
            assertThat(journal.entries(Wish.EVERYTHING, Long.MAX_VALUE, 10, Reach.of(List.of(Grant.at(Role.SITE_STAFF, 10))))).isEmpty();
            assertThat(journal.entries(alarms, Long.MAX_VALUE, 10, there)).singleElement().satisfies(row -> {
                assertThat(row.where()).isEqualTo("Two");
                assertThat(row.facts()).containsEntry("n", 1);
            });
            assertThat(journal.ofCabinet(30, SupplyDay.KINDS, SINCE, 10)).extracting(EntryRow::id).containsExactly(4L);
            assertThat(journal.lastVerification()).isEmpty();
            assertThat(journal.sites(there)).extracting(JournalReading.Choice::name).containsExactly("Quay");
            assertThat(journal.cabinets(Reach.nowhere())).isEmpty();
        }
    }

    @BothDatabases
    void operationIsRead(TestDatabase database) throws SQLException {
        fill(database);
        // The installation's own, which comes again every night.
        database.run("DELETE FROM deadline");
        database.run("INSERT INTO deadline (id, due_at, kind, subject_id, subject_version, attempts) VALUES (1, '" + SINCE + "', 'CALL_OUT', 70, 0, 0)");
        database.run("INSERT INTO instance (id, started_at, seen_at) VALUES ('one', '%1$s', '%1$s')".formatted(SINCE));
        database.run("INSERT INTO ingest_slot (slot, leased_by, leased_until) VALUES (0, 'one', '%s')".formatted(SINCE.plusSeconds(60)));
        database.run("INSERT INTO refused_report (id, received_at, topic, reason, detail, sample) VALUES (1, '%s', 't', 'not-json', 'd', 's')".formatted(SINCE));
        database.run(entry(1, "alarm-raised", "10", "30"));
        try (AgroalDataSource source = source(database)) {
            OperationReading operation = new OperationReading(new Reads(source), source);

            assertThat(operation.listening().last()).isEmpty();
            assertThat(operation.lastSent()).isEmpty();
            assertThat(operation.deadlines(SINCE.plusSeconds(1))).isEqualTo(new OperationReading.Deadlines(1, Optional.of(SINCE)));
            assertThat(operation.deadlines(SINCE).overdue()).isZero();
            assertThat(operation.instances(SINCE)).singleElement().satisfies(row -> assertThat(row.slot()).contains(0));
            assertThat(operation.unsealed(SINCE.plusSeconds(1))).isOne();
            assertThat(operation.refused(SINCE.minusSeconds(1))).singleElement().satisfies(row -> assertThat(row.samples()).isOne());
            assertThat(operation.samples(5)).singleElement().satisfies(row -> assertThat(row.sample()).isEqualTo("s"));
            assertThat(operation.database().product()).startsWith(database.isPostgresql() ? "PostgreSQL" : "H2");
        }
    }

    @BothDatabases
    void alarmsOfATimeAreReadWithWhatTheyAreAbout(TestDatabase database) throws SQLException {
        fill(database);
        String insert = "INSERT INTO journal_entry (id, at, kind, site_id, cabinet_id, alarm_id, body) VALUES (%d, '%s', '%s', 10, 30, 80, '{}')";
        database.run(insert.formatted(1, SINCE.minusSeconds(1), "alarm-raised"));
        database.run(insert.formatted(2, SINCE, "alarm-raised"));
        database.run(insert.formatted(3, SINCE.plusSeconds(1), "alarm-acknowledged"));
        database.run(insert.formatted(4, SINCE.plusSeconds(2), "alarm-returned"));
        database.run(insert.formatted(5, SINCE.plusSeconds(3), "alarm-raised-again"));
        database.run(insert.formatted(6, SINCE.plusSeconds(60), "alarm-returned"));
        try (AgroalDataSource source = source(database)) {
            OperationReading operation = new OperationReading(new Reads(source), source);
            Source two = new Source(AlarmKind.SUPPLY_LOST, 10, OptionalLong.of(30));

            assertThat(operation.alarmChanges(SINCE, SINCE.plusSeconds(60), 10)).containsExactly(new Change(two, SINCE.plusSeconds(3), true),
                    new Change(two, SINCE.plusSeconds(2), false), new Change(two, SINCE, true));
            assertThat(operation.alarmChanges(SINCE, SINCE.plusSeconds(60), 1)).containsExactly(new Change(two, SINCE.plusSeconds(3), true));
            assertThat(operation.stale(SINCE, 5)).isEmpty();
            assertThat(operation.stale(SINCE.plusMillis(1), 5)).containsExactly(new OperationReading.StaleRow(two, SINCE, 1));
            Source site = new Source(AlarmKind.PROBABLE_SITE_LOSS, 10, OptionalLong.empty());
            Source own = new Source(AlarmKind.NOT_LISTENING, 0, OptionalLong.empty());
            assertThat(operation.names(List.of(two, site, own))).isEqualTo(Map.of(two, "Two", site, "Quay"));
        }
    }

    private static String work(long id, String board, String cabinet, String endedAt) {
        return """
                INSERT INTO suppression (id, kind, site_id, board_id, cabinet_id, starts_at, ends_at, reason, ended_at)
                VALUES (%d, 'ANNOUNCED_WORK', 10, %s, %s, '%s', '%s', 'reason %1$d', %s)
                """.formatted(id, board, cabinet, SINCE.minusSeconds(60), SINCE.plusSeconds(3600), endedAt);
    }

    private static String entry(long id, String kind, String site, String cabinet) {
        return "INSERT INTO journal_entry (id, at, kind, site_id, cabinet_id, body) VALUES (%1$d, '%2$s', '%3$s', %4$s, %5$s, '{\"n\":%1$d}')"
                .formatted(id, SINCE, kind, site, cabinet);
    }

    @BothDatabases
    void dutyIsThatOfTheRotaOfEachSite(TestDatabase database) throws SQLException {
        fill(database);
        for (String row : List.of("INSERT INTO person (id, reference, name, version) VALUES (2, 'r2', 'A. Wren', 0), (3, 'r3', 'T. Reed', 0)",
                "INSERT INTO site (id, name, address, zone, access, intake, version) VALUES (11, 'Pier', 'a', 'Pacific/Auckland', 'x', 'i', 0)",
                """
                INSERT INTO duty_shift (id, site_id, role, person_id, weekdays, from_minute, to_minute, every_weeks, valid_from, valid_until, version)
                VALUES (60, 10, 'DUTY_MANAGER', 1, 127, 1320, 360, 1, '2026-11-01', NULL, 0),
                       (61, 10, 'DUTY_MANAGER', 2, 127, 360, 1320, 1, '2026-11-01', NULL, 0),
                       (62, 10, 'ELECTRICIAN', NULL, 4, 480, 960, 1, '2026-11-25', '2026-11-25', 0),
                       (63, 10, 'SITE_DUTY', 2, 127, 0, 0, 1, '2026-01-01', '2026-11-01', 0),
                       (64, 11, 'SITE_DUTY', 3, 127, 540, 1020, 1, '2026-11-01', NULL, 0)
                """,
                """
                INSERT INTO duty_stand_in (id, shift_id, person_id, from_day, until_day, version)
                VALUES (65, 60, 3, '2026-11-24', '2026-11-24', 0), (66, 61, 3, '2026-01-01', '2026-01-02', 0)
                """,
                "INSERT INTO duty_absence (id, person_id, begins_at, ends_at, version) VALUES (67, 2, '2026-11-25T12:00:00Z', '2026-11-25T13:00:00Z', 0)",
                """
                INSERT INTO duty_gap (site_id, role, begins_at, ends_at, found_at)
                VALUES (10, 'ELECTRICIAN', '2026-11-25T08:00:00Z', '2026-11-25T16:00:00Z', '2026-11-24T09:00:00Z'),
                       (10, 'ELECTRICIAN', '2026-11-20T08:00:00Z', '2026-11-20T16:00:00Z', '2026-11-19T09:00:00Z')
                """)) {
            database.run(row);
        }
        try (AgroalDataSource source = source(database)) {
            DutyReading duties = new DutyReading(new Reads(source));
            SiteDuty quay = duties.at(10, SINCE).orElseThrow();

            assertThat(quay.brief(SINCE)).isEqualTo("T. Reed (duty manager) until 06:00, then A. Wren; nobody (electrician)");
            assertThat(quay.remark(SINCE)).isEqualTo("No electrician from 08:00 to 16:00");
            assertThat(quay.rota().absences()).hasSize(1);
            assertThat(duties.everywhere(SINCE).keySet()).containsExactlyInAnyOrder(10L, 11L);
            assertThat(duties.everywhere(SINCE).get(11L).brief(SINCE)).as("its clock says 15:41").isEqualTo("T. Reed (site duty) until 17:00, then T. Reed from 26 Nov 09:00");
            assertThat(duties.at(12, SINCE)).isEmpty();
            assertThat(supply(source, new RequestCaller()).everything().duty().get(10L)).isEqualTo(quay);
        }
    }

    private static SupplyReading supply(AgroalDataSource source, RequestCaller caller) {
        Reads reads = new Reads(source);
        return new SupplyReading(reads, new DutyReading(reads), caller, Clock.fixed(SINCE, ZoneOffset.UTC));
    }

    private static void fill(TestDatabase database) throws SQLException {
        String[] rows = {
                "INSERT INTO person (id, reference, name, version) VALUES (1, 'r1', 'M. Teal', 0)",
                "INSERT INTO site (id, name, address, zone, access, intake, version) VALUES (10, 'Quay', 'a', 'Europe/London', 'x', 'i', 0)",
                "INSERT INTO board (id, site_id, name, place, access, version) VALUES (20, 10, 'Board A', 'kiosk', 'key 7', 0)",
                cabinet(30, "C2", "Two"), cabinet(31, "C10", "Ten"), cabinet(32, "C0", "No circuit"),
                """
                INSERT INTO circuit (id, cabinet_id, board_id, way, device_kind, device_curve, device_rating_a, residual_ma, cable, fuse_a,
                    fused_unit_place, version)
                VALUES (40, 30, 20, '2', 'RCBO', 'C', 16, 30, 'SWA', 3, 'below', 0), (41, 31, 20, '10', 'MCB', 'B', 6, NULL, 'SWA', 3, 'below', 0)
                """,
                "INSERT INTO sensor (id, cabinet_id, device_id, base_name, secret_hash, version) VALUES (50, 30, 'd', 'urn:d:', 'h', 0)",
                """
                INSERT INTO sensor_status (sensor_id, site_id, cabinet_id, reading, settled, lost_since, silent, link_down, clock_odd, dips, version)
                VALUES (50, 10, 30, 'LOST', TRUE, '%s', FALSE, FALSE, FALSE, 0, 0)
                """.formatted(SINCE),
                "INSERT INTO call_out (id, site_id, opened_at, told, version) VALUES (70, 10, '%s', 1, 0)".formatted(SINCE),
                """
                INSERT INTO alarm (id, kind, site_id, cabinet_id, state, live, since, raised_at, call_out_id, closed_at, version)
                VALUES (79, 'SUPPLY_LOST', 10, 30, 'NORMAL', FALSE, '%1$s', '%1$s', NULL, '%1$s', 0),
                       (80, 'SUPPLY_LOST', 10, 30, 'UNACKNOWLEDGED', TRUE, '%1$s', '%1$s', 70, NULL, 0)
                """.formatted(SINCE),
                message(90, "SENT"), message(91, "WAITING")};
        for (String row : rows) {
            database.run(row);
        }
    }

    private static String cabinet(long id, String code, String name) {
        return "INSERT INTO cabinet (id, site_id, code, name, place, content, lamp_place, version) VALUES (%d, 10, '%s', '%s', 'p', 'c', 'l', 0)"
                .formatted(id, code, name);
    }

    private static String message(long id, String state) {
        return """
                INSERT INTO outgoing_message (id, message_key, purpose, call_out_id, alarm_id, person_id, channel, address, subject, body,
                    created_at, state, attempts)
                VALUES (%1$d, 'k%1$d', 'ALARM', 70, 80, 1, 'MAIL', 'a@hallow.example', 's', 'b', '%3$s', '%2$s', 0)
                """.formatted(id, state, SINCE);
    }

    private static AgroalDataSource source(TestDatabase database) throws SQLException {
        return AgroalDataSource.from(new AgroalDataSourceConfigurationSupplier()
                .connectionPoolConfiguration(pool -> pool.maxSize(2).connectionFactoryConfiguration(factory -> factory
                        .connectionProviderClass(AnyDatabaseDriver.class).jdbcUrl(database.url())
                        .principal(new NamePrincipal(database.user())).credential(new SimplePassword(database.password())))));
    }

    private static Plot.Figure figure(double value, double low, double high) {
        return new Plot.Figure(Optional.of(value), Optional.of(new Plot.Range(low, high)));
    }
}
