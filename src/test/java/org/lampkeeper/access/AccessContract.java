package org.lampkeeper.access;

import java.sql.Connection;
import java.sql.SQLException;
import java.sql.Statement;
import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;

import javax.sql.DataSource;

import jakarta.inject.Inject;

import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.access.Accounts.Acceptance;
import org.lampkeeper.access.Accounts.Change;
import org.lampkeeper.access.SignIns.Result;
import org.lampkeeper.access.SignIns.SignedIn;
import org.lampkeeper.testing.MovedClock;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

/** What signing in promises, whatever database it stands on. */
abstract class AccessContract {

    private static final Instant NOON = Instant.parse("2026-11-25T12:00:00Z");
    private static final String PASSWORD = "a lamp on the quay";
    private static final String OTHER = "another lamp on the quay";
    private static final String TEAL = "m.teal@hallowwater.example";
    private static final long QUAY = 810_001;
    private static final long PIER = 810_002;
    private static final long TEAL_ID = 820_001;
    private static final long OSK_ID = 820_002;

    @Inject
    Accounts accounts;
    @Inject
    SignIns signIns;
    @Inject
    ApiTokens tokens;
    @Inject
    Phones phones;
    @Inject
    Tables tables;
    @Inject
    DataSource database;
    @Inject
    MovedClock clock;

    @BeforeEach
    void nobodyHasAnAccount() throws SQLException {
        clock.stopAt(NOON);
        run("DELETE FROM phone_invitation", "DELETE FROM phone", "DELETE FROM api_token_site", "DELETE FROM api_token", "DELETE FROM sign_in", "DELETE FROM invitation", "DELETE FROM role_grant",
                "DELETE FROM account", "DELETE FROM sign_in_failure");
        if (tables.first("SELECT id FROM site WHERE id = ?", row -> row.number("id"), QUAY).isEmpty()) {
            run(site(QUAY, "Access Quay"), site(PIER, "Access Pier"), person(TEAL_ID, "M. Teal", "'M.Teal@HallowWater.example'"),
                    person(OSK_ID, "R. Osk", "NULL"));
        }
    }

    @Test
    void firstLinkMakesAnAdministratorOfEverythingOnceAndOnlyOnce() {
        String link = accounts.inviteFirst().orElseThrow().token();
        String second = accounts.inviteFirst().orElseThrow().token();
        assertThat(accounts.invitation(link)).hasValue(new Accounts.Invitation(Optional.empty(), Optional.empty()));

        Acceptance accepted = accounts.accept(link, "A. Wren", "a.wren@hallowwater.example", PASSWORD);

        assertThat(accepted).isInstanceOf(Acceptance.Accepted.class);
        assertThat(accounts.grantsOf(((Acceptance.Accepted) accepted).personId())).containsExactly(Grant.everywhere(Role.ADMINISTRATOR));
        assertThat(accounts.accept(link, "B", "b@hallowwater.example", OTHER)).isInstanceOf(Acceptance.Gone.class);
        assertThat(accounts.accept(second, "B", "b@hallowwater.example", OTHER)).isInstanceOf(Acceptance.Gone.class);
        assertThat(accounts.inviteFirst()).isEmpty();
    }

    @Test
    void firstLinkEnds() {
        String link = accounts.inviteFirst().orElseThrow().token();
        clock.advance(Duration.ofHours(24));

        assertThat(accounts.invitation(link)).isEmpty();
        assertThat(accounts.accept(link, "A", "a@hallowwater.example", PASSWORD)).isInstanceOf(Acceptance.Gone.class);
    }

    @Test
    void firstAdministratorCannotBeRegisteredWithoutAName() {
        String link = accounts.inviteFirst().orElseThrow().token();

        assertThatThrownBy(() -> accounts.accept(link, " ", "a@hallowwater.example", PASSWORD))
                .isInstanceOf(org.lampkeeper.register.NotRegistered.class);
        assertThat(accounts.invitation(link)).isPresent();
    }

    @Test
    void invitedPersonTakesAPasswordAndSignsInWithTheirMailInAnyCase() {
        Caller administrator = administrator();
        String link = accounts.invite(TEAL_ID, administrator).token();
        assertThat(accounts.invitation(link)).hasValue(new Accounts.Invitation(Optional.of("M. Teal"), Optional.of(TEAL)));
        assertThat(accounts.accept(link, "", "", "short")).isInstanceOf(Acceptance.NotGood.class);

        assertThat(accounts.accept(link, "", "", PASSWORD)).isEqualTo(new Acceptance.Accepted(TEAL_ID));

        assertThat(signIns.signIn(" M.TEAL@hallowwater.example ", PASSWORD, "here", "a test")).isInstanceOf(Result.Opened.class);
        assertThat(accounts.accept(link, "", "", OTHER)).isInstanceOf(Acceptance.Gone.class);
    }

    @Test
    void newerInvitationTakesThePlaceOfAnOlder() {
        Caller administrator = administrator();
        String older = accounts.invite(TEAL_ID, administrator).token();
        String newer = accounts.invite(TEAL_ID, administrator).token();

        assertThat(accounts.invitation(older)).isEmpty();
        assertThat(accounts.invitation(newer)).isPresent();
    }

    @Test
    void personWithoutAMailAddressSaysOneThatIsNobodyElses() {
        teal();
        String link = accounts.invite(OSK_ID, administrator()).token();

        assertThat(accounts.invitation(link)).hasValue(new Accounts.Invitation(Optional.of("R. Osk"), Optional.empty()));
        assertThat(accounts.accept(link, "", TEAL, PASSWORD)).isInstanceOf(Acceptance.NotGood.class);
        assertThat(accounts.accept(link, "", "r.osk", PASSWORD)).isInstanceOf(Acceptance.NotGood.class);
        assertThat(accounts.accept(link, "", "r.osk@hallowwater.example", PASSWORD)).isEqualTo(new Acceptance.Accepted(OSK_ID));
        assertThat(signIns.signIn("r.osk@hallowwater.example", PASSWORD, "here", "a test")).isInstanceOf(Result.Opened.class);
    }

    @Test
    void linkEnrolsOnePhoneOnce() {
        String older = phones.invite(TEAL_ID, administrator()).token();
        String link = phones.invite(TEAL_ID, administrator()).token();
        assertThat(phones.invited(older)).as("a newer one took its place").isEmpty();
        assertThat(phones.invited(link)).hasValue("M. Teal");

        String secret = phones.enrol(link, "Firefox on Android").orElseThrow();

        assertThat(phones.find(secret).orElseThrow().personId()).isEqualTo(TEAL_ID);
        assertThat(phones.find(secret + "x")).isEmpty();
        assertThat(phones.enrol(link, "another")).isEmpty();
        assertThat(tables.list("SELECT secret_hash FROM phone", row -> row.text("secret_hash"))).hasSize(1).doesNotContain(secret);
    }

    @Test
    void linkForAPhoneEnds() {
        String link = phones.invite(TEAL_ID, administrator()).token();
        clock.advance(Duration.ofDays(7));

        assertThat(phones.invited(link)).isEmpty();
        assertThat(phones.enrol(link, "a phone")).isEmpty();
    }

    @Test
    void phoneIsNobodysOnceItIsRevokedOrItsPersonForgotten() {
        Caller administrator = administrator();
        String first = phones.enrol(phones.invite(TEAL_ID, administrator).token(), "first").orElseThrow();
        String second = phones.enrol(phones.invite(TEAL_ID, administrator).token(), "second").orElseThrow();
        clock.advance(Duration.ofHours(1));
        phones.find(second);

        assertThat(phones.of(TEAL_ID)).extracting(Phones.Phone::device).containsExactly("first", "second");
        assertThat(phones.of(TEAL_ID)).extracting(Phones.Phone::seenAt).containsExactly(NOON, NOON.plus(Duration.ofHours(1)));
        long id = phones.find(first).orElseThrow().phoneId();
        phones.revoke(id, OSK_ID, administrator);
        assertThat(phones.find(first)).as("it is not the other's").isPresent();
        phones.revoke(id, TEAL_ID, administrator);
        assertThat(phones.find(first)).isEmpty();

        phones.forget(TEAL_ID);

        assertThat(phones.find(second)).isEmpty();
    }

    @Test
    void nobodyEnrolsPhonesOfWhomTheyMayNotInviteOrMoreThanTen() {
        Caller administrator = administrator();
        Caller osk = new Caller(OSK_ID, "R. Osk", "reference", Reach.of(List.of(Grant.at(Role.SITE_STAFF, QUAY))));

        assertThatThrownBy(() -> phones.invite(TEAL_ID, osk)).isInstanceOf(NotAllowed.class);
        assertThatThrownBy(() -> phones.revoke(1, TEAL_ID, osk)).isInstanceOf(NotAllowed.class);
        for (int i = 0; i < 10; i++) {
            phones.enrol(osk, "phone " + i);
        }
        assertThatThrownBy(() -> phones.enrol(osk, "one too many")).isInstanceOf(NotAllowed.class).hasMessageContaining("Revoke one");
        assertThatThrownBy(() -> phones.invite(OSK_ID, administrator)).isInstanceOf(NotAllowed.class);
    }

    @Test
    void sessionKnowsItsPersonAndTheirRolesOfTheMoment() {
        String session = teal();
        assertThat(caller(session).reach().sees(QUAY)).isFalse();

        accounts.grant(TEAL_ID, Grant.at(Role.DUTY_MANAGER, QUAY), administrator());

        assertThat(caller(session).name()).isEqualTo("M. Teal");
        assertThat(caller(session).reach().may(Right.TAKE, QUAY)).isTrue();
        assertThat(caller(session).reach().sees(PIER)).isFalse();
        accounts.take(TEAL_ID, Grant.at(Role.DUTY_MANAGER, QUAY), administrator());
        assertThat(caller(session).reach().sees(QUAY)).isFalse();
    }

    @Test
    void sessionEndsWhenNothingIsAskedForTooLong() {
        String session = teal();
        clock.advance(Duration.ofHours(11));
        assertThat(signIns.find(session)).isPresent();
        clock.advance(Duration.ofHours(11));
        assertThat(signIns.find(session)).isPresent();

        clock.advance(Duration.ofHours(12));

        assertThat(signIns.find(session)).isEmpty();
    }

    @Test
    void sessionEndsHoweverMuchItIsUsed() {
        String session = teal();
        for (int i = 0; i < 59; i++) {
            clock.advance(Duration.ofHours(12).minusSeconds(1));
            assertThat(signIns.find(session)).isPresent();
        }

        clock.advance(Duration.ofHours(13));

        assertThat(signIns.find(session)).isEmpty();
    }

    @Test
    void thatASessionIsInUseIsWrittenAtMostOnceAMinute() {
        String session = teal();
        clock.advance(Duration.ofSeconds(60));
        signIns.find(session);
        assertThat(signIns.of(TEAL_ID).get(0).seenAt()).isEqualTo(NOON);

        clock.advance(Duration.ofSeconds(1));
        signIns.find(session);

        assertThat(signIns.of(TEAL_ID).get(0).seenAt()).isEqualTo(NOON.plusSeconds(61));
    }

    @Test
    void signingOutEndsThisSessionAndNoOther() {
        String here = teal();
        String there = signIns.open(TEAL_ID, SignIns.Way.PASSWORD, "Firefox on Linux");

        signIns.signOut(here);

        assertThat(signIns.find(here)).isEmpty();
        assertThat(signIns.find(there)).isPresent();
        assertThat(signIns.of(TEAL_ID)).extracting(SignIns.Session::device).containsExactly("Firefox on Linux");
    }

    @Test
    void signingOutEverywhereEndsEverySessionAtOnce() {
        String here = teal();
        String there = signIns.open(TEAL_ID, SignIns.Way.PASSWORD, "a phone");

        accounts.signOutEverywhere(TEAL_ID, administrator());

        assertThat(signIns.find(here)).isEmpty();
        assertThat(signIns.find(there)).isEmpty();
    }

    @Test
    void oneEndsOnlySessionsOfOnesOwn() {
        String session = teal();
        long id = signIns.of(TEAL_ID).get(0).id();

        signIns.end(id, administrator());
        assertThat(signIns.find(session)).isPresent();

        signIns.end(id, caller(session));
        assertThat(signIns.find(session)).isEmpty();
    }

    @Test
    void changedPasswordEndsEverySessionAndTheOldPassword() {
        String session = teal();
        Caller teal = caller(session);
        assertThat(accounts.changePassword(teal, OTHER, OTHER, "here")).isInstanceOf(Change.CurrentIsWrong.class);
        assertThat(accounts.changePassword(teal, PASSWORD, "short", "here")).isInstanceOf(Change.NotGood.class);
        assertThat(signIns.find(session)).isPresent();

        assertThat(accounts.changePassword(teal, PASSWORD, OTHER, "here")).isInstanceOf(Change.Done.class);

        assertThat(signIns.find(session)).isEmpty();
        assertThat(signIns.signIn(TEAL, PASSWORD, "here", "a test")).isInstanceOf(Result.Wrong.class);
        assertThat(signIns.signIn(TEAL, OTHER, "here", "a test")).isInstanceOf(Result.Opened.class);
    }

    @Test
    void guessingIsSlowedDownAndTheRightPasswordStillWorksAfterTheWait() {
        String session = teal();
        for (int i = 0; i < 5; i++) {
            assertThat(signIns.signIn(TEAL, OTHER, "elsewhere", "a test")).isInstanceOf(Result.Wrong.class);
        }

        assertThat(signIns.signIn(TEAL, PASSWORD, "here", "a test")).isEqualTo(new Result.Wait(Duration.ofSeconds(5)));
        assertThat(signIns.find(session)).as("whoever is signed in notices nothing").isPresent();
        clock.advance(Duration.ofSeconds(5));
        assertThat(signIns.signIn(TEAL, PASSWORD, "here", "a test")).isInstanceOf(Result.Opened.class);
        assertThat(signIns.signIn(TEAL, OTHER, "here", "a test")).as("counted anew").isInstanceOf(Result.Wrong.class);
    }

    @Test
    void waitingTriesDoNotMakeTheWaitLonger() {
        teal();
        for (int i = 0; i < 20; i++) {
            signIns.signIn(TEAL, OTHER, "elsewhere", "a test");
        }

        assertThat(signIns.signIn(TEAL, PASSWORD, "here", "a test")).isEqualTo(new Result.Wait(Duration.ofSeconds(5)));
    }

    @Test
    void onePlaceThatTriesManyPeopleIsSlowedDownToo() {
        teal();
        for (int i = 0; i < 20; i++) {
            assertThat(signIns.signIn("somebody" + i + "@hallowwater.example", OTHER, "elsewhere", "a test")).isInstanceOf(Result.Wrong.class);
        }

        assertThat(signIns.signIn(TEAL, PASSWORD, "elsewhere", "a test")).isInstanceOf(Result.Wait.class);
        assertThat(signIns.signIn(TEAL, PASSWORD, "here", "a test")).isInstanceOf(Result.Opened.class);
    }

    @Test
    void journalTellsOfGuessingOnceAndNotPerTry() {
        teal();
        long before = entries("sign-in-refused");

        for (int i = 0; i < 5; i++) {
            signIns.signIn(TEAL, OTHER, "elsewhere", "a test");
        }

        assertThat(entries("sign-in-refused")).isEqualTo(before + 1);
        assertThat(entries("signed-in")).isPositive();
    }

    @Test
    void nobodyGivesOrTakesMoreThanTheyHave() {
        Caller ofQuay = caller(TEAL_ID, Grant.at(Role.ADMINISTRATOR, QUAY));

        accounts.grant(OSK_ID, Grant.at(Role.ADMINISTRATOR, QUAY), ofQuay);
        assertThatThrownBy(() -> accounts.grant(OSK_ID, Grant.at(Role.SITE_STAFF, PIER), ofQuay)).isInstanceOf(NotAllowed.class);
        assertThatThrownBy(() -> accounts.grant(OSK_ID, Grant.everywhere(Role.SITE_STAFF), ofQuay)).isInstanceOf(NotAllowed.class);
        assertThatThrownBy(() -> accounts.grant(TEAL_ID, Grant.at(Role.ADMINISTRATOR, QUAY), caller(OSK_ID, Grant.at(Role.DUTY_MANAGER, QUAY))))
                .isInstanceOf(NotAllowed.class);

        assertThat(accounts.grantsOf(OSK_ID)).containsExactly(Grant.at(Role.ADMINISTRATOR, QUAY));
        assertThat(accounts.grantsOf(TEAL_ID)).isEmpty();
    }

    @Test
    void whoeverMayMoreIsNotInvitedAnewByWhoMayLess() {
        accounts.setUp(OSK_ID, List.of(Grant.everywhere(Role.ADMINISTRATOR)));
        Caller ofQuay = caller(TEAL_ID, Grant.at(Role.ADMINISTRATOR, QUAY));

        assertThatThrownBy(() -> accounts.invite(OSK_ID, ofQuay)).isInstanceOf(NotAllowed.class).hasMessageContaining("R. Osk");
        assertThatThrownBy(() -> accounts.signOutEverywhere(OSK_ID, ofQuay)).isInstanceOf(NotAllowed.class);
    }

    @Test
    void lastAdministratorOfEverythingStaysOne() {
        teal();
        accounts.setUp(TEAL_ID, List.of(Grant.everywhere(Role.ADMINISTRATOR)));
        accounts.setUp(OSK_ID, List.of(Grant.everywhere(Role.ADMINISTRATOR)));

        assertThatThrownBy(() -> accounts.take(TEAL_ID, Grant.everywhere(Role.ADMINISTRATOR), administrator()))
                .as("the other one cannot sign in yet").isInstanceOf(NotAllowed.class);

        assertThat(accounts.grantsOf(TEAL_ID)).containsExactly(Grant.everywhere(Role.ADMINISTRATOR));
    }

    @Test
    void tokenMayWhatItsOwnerMayAtThatMomentAndNoMore() {
        teal();
        accounts.setUp(TEAL_ID, List.of(Grant.at(Role.DUTY_MANAGER, QUAY), Grant.at(Role.DUTY_MANAGER, PIER)));
        Caller teal = caller(TEAL_ID, Grant.at(Role.DUTY_MANAGER, QUAY), Grant.at(Role.DUTY_MANAGER, PIER));
        String reads = tokens.make(teal, "reads", false, Optional.empty(), Optional.empty()).secret();
        String writesAtQuay = tokens.make(teal, "writes", true, Optional.of(Set.of(QUAY)), Optional.empty()).secret();

        assertThat(reads).startsWith("lamp_");
        assertThat(tokens.find(reads).orElseThrow().isToken()).isTrue();
        assertThat(tokens.find(reads).orElseThrow().reach().sees(PIER)).isTrue();
        assertThat(tokens.find(reads).orElseThrow().reach().maySomewhere(Right.TAKE)).isFalse();
        assertThat(tokens.find(writesAtQuay).orElseThrow().reach().may(Right.TAKE, QUAY)).isTrue();
        assertThat(tokens.find(writesAtQuay).orElseThrow().reach().sees(PIER)).isFalse();

        accounts.take(TEAL_ID, Grant.at(Role.DUTY_MANAGER, QUAY), administrator());

        assertThat(tokens.find(writesAtQuay).orElseThrow().reach().sees(QUAY)).isFalse();
        assertThat(tokens.find(reads).orElseThrow().reach().sees(PIER)).isTrue();
    }

    @Test
    void tokenEndsOrIsRevokedAndOnlyByItsOwner() {
        teal();
        Caller teal = caller(TEAL_ID, Grant.at(Role.DUTY_MANAGER, QUAY));
        String ends = tokens.make(teal, "ends", false, Optional.empty(), Optional.of(NOON.plusSeconds(60))).secret();
        ApiTokens.Made stays = tokens.make(teal, "stays", false, Optional.empty(), Optional.empty());

        clock.advance(Duration.ofSeconds(60));

        assertThat(tokens.find(ends)).isEmpty();
        tokens.revoke(stays.id(), administrator());
        assertThat(tokens.find(stays.secret())).isPresent();
        assertThat(tokens.of(TEAL_ID)).extracting(ApiTokens.ApiToken::lastUsedAt).contains(Optional.of(NOON.plusSeconds(60)));
        tokens.revoke(stays.id(), teal);
        assertThat(tokens.find(stays.secret())).isEmpty();
        assertThat(tokens.of(TEAL_ID)).extracting(ApiTokens.ApiToken::name).containsExactly("ends");
    }

    @Test
    void tokenIsNotMadeForASiteOutOfReachNorByAToken() {
        teal();
        Caller teal = caller(TEAL_ID, Grant.at(Role.DUTY_MANAGER, QUAY));
        Caller program = new Caller(TEAL_ID, "M. Teal", "reference", teal.reach(), OptionalLong.of(1));

        assertThatThrownBy(() -> tokens.make(teal, "t", false, Optional.of(Set.of(QUAY, PIER)), Optional.empty())).isInstanceOf(NotAllowed.class);
        assertThatThrownBy(() -> tokens.make(program, "t", false, Optional.empty(), Optional.empty())).isInstanceOf(NotAllowed.class);
    }

    @Test
    void nothingThatCouldBeUsedIsStored() {
        String link = accounts.invite(TEAL_ID, administrator()).token();
        accounts.accept(link, "", "", PASSWORD);
        String session = ((Result.Opened) signIns.signIn(TEAL, PASSWORD, "here", "a test")).token();

        assertThat(tables.list("SELECT token_hash FROM sign_in UNION ALL SELECT token_hash FROM invitation", row -> row.text("token_hash")))
                .hasSize(2).doesNotContain(session, link).allMatch(hash -> hash.matches("[0-9a-f]{64}"));
        assertThat(tables.list("SELECT subject FROM sign_in_failure", row -> row.text("subject"))).noneMatch(it -> it.contains("@"));
    }

    @Test
    void movedMailAddressIsWhatOneSignsInWith() {
        teal();

        assertThat(accounts.moveSignInMail(TEAL_ID, "Teal@Hallowwater.example")).isTrue();

        assertThat(signIns.signIn(TEAL, PASSWORD, "here", "a test")).isInstanceOf(Result.Wrong.class);
        assertThat(signIns.signIn("teal@hallowwater.example", PASSWORD, "here", "a test")).isInstanceOf(Result.Opened.class);
    }

    @Test
    void forgottenPersonHasNothingLeftToSignInWith() {
        String session = teal();
        Caller teal = caller(TEAL_ID, Grant.at(Role.DUTY_MANAGER, QUAY));
        String token = tokens.make(teal, "t", false, Optional.of(Set.of(QUAY)), Optional.empty()).secret();

        accounts.forget(TEAL_ID);

        assertThat(signIns.find(session)).isEmpty();
        assertThat(tokens.find(token)).isEmpty();
        assertThat(accounts.find(TEAL_ID)).isEmpty();
    }

    /** M. Teal has a password; the session that they opened. */
    private String teal() {
        accounts.accept(accounts.invite(TEAL_ID, administrator()).token(), "", "", PASSWORD);
        return ((Result.Opened) signIns.signIn(TEAL, PASSWORD, "here", "a test")).token();
    }

    private Caller caller(String session) {
        return signIns.find(session).map(SignedIn::caller).orElseThrow();
    }

    private static Caller administrator() {
        return caller(1, Grant.everywhere(Role.ADMINISTRATOR));
    }

    private static Caller caller(long personId, Grant... grants) {
        return new Caller(personId, "somebody", "reference-" + personId, Reach.of(List.of(grants)));
    }

    private long entries(String kind) {
        return tables.first("SELECT COUNT(*) AS entries FROM journal_entry WHERE kind = ?", row -> row.number("entries"), kind).orElseThrow();
    }

    private void run(String... statements) throws SQLException {
        try (Connection connection = database.getConnection(); Statement statement = connection.createStatement()) {
            for (String sql : statements) {
                statement.executeUpdate(sql);
            }
        }
    }

    private static String site(long id, String name) {
        return "INSERT INTO site (id, name, address, zone, access, intake, version) VALUES (%d, '%s', 'a', 'Europe/London', 'x', 'i', 0)".formatted(id, name);
    }

    private static String person(long id, String name, String mail) {
        return "INSERT INTO person (id, reference, salt, name, mail, version) VALUES (%1$d, 'reference-%1$d', 'salt', '%2$s', %3$s, 0)".formatted(id, name, mail);
    }
}
