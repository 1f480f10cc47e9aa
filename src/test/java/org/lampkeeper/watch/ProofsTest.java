package org.lampkeeper.watch;

import java.time.Duration;
import java.time.Instant;
import java.time.LocalTime;
import java.time.ZoneId;
import java.util.List;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

import jakarta.inject.Inject;
import jakarta.persistence.EntityManager;

import io.quarkus.narayana.jta.QuarkusTransaction;
import io.quarkus.test.junit.QuarkusTest;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.message.MessageConfig;
import org.lampkeeper.message.PersonChannel;
import org.lampkeeper.message.PersonChannel.Night;
import org.lampkeeper.message.PersonChannels;
import org.lampkeeper.message.ProofAnswer;
import org.lampkeeper.message.Proofs;
import org.lampkeeper.message.Proofs.Asked;
import org.lampkeeper.message.Proofs.Behind;
import org.lampkeeper.register.By;
import org.lampkeeper.register.NewPerson;
import org.lampkeeper.register.Registration;
import org.lampkeeper.testing.MovedClock;
import org.lampkeeper.watch.WatchFixture.Place;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.lampkeeper.watch.WatchFixture.NOON;

/** How people show that they are reached, how long that counts, and what becomes of an alarm for those who did not. */
@QuarkusTest
class ProofsTest {

    private static final ZoneId LONDON = ZoneId.of("Europe/London");
    private static final LocalTime THREE = LocalTime.of(3, 0);
    private static final Instant NIGHT = Instant.parse("2026-12-02T03:00:00Z");

    @Inject
    WatchFixture fixture;
    @Inject
    Proofs proofs;
    @Inject
    PersonChannels channels;
    @Inject
    MessageConfig config;
    @Inject
    Registration registration;
    @Inject
    DeadlineHandler deadlines;
    @Inject
    EntityManager entities;
    @Inject
    MovedClock clock;

    private long teal;
    private PersonChannel mail;

    @BeforeEach
    void somebodyWhoHasProvenNothing() {
        fixture.atNoonListening();
        teal = person("M. Teal");
        mail = only();
    }

    @Test
    void whoeverPressesOnThePageBehindTheLinkHasProvenTheChannelThatItWasSentBy() {
        long other = added();

        assertThat(proofs.now(teal, other, by())).isEqualTo(new Asked.Done(NOON));

        assertThat(sent()).containsExactly("PROOF " + other);
        String token = token();
        assertThat(proofs.behind(token)).isInstanceOf(Behind.Open.class);
        assertThat(proven()).isEmpty();
        assertThat(proofs.open(teal)).singleElement().satisfies(open -> assertThat(open.channel().id()).isEqualTo(other));

        clock.advance(Duration.ofMinutes(2));
        proofs.answer(token, ProofAnswer.ARRIVED);
        clock.advance(Duration.ofMinutes(2));
        Behind again = proofs.answer(token, ProofAnswer.ARRIVED);

        assertThat(again).isInstanceOfSatisfying(Behind.Open.class, open -> assertThat(open.proof().answeredAt()).contains(NOON.plusSeconds(120)));
        assertThat(proven()).containsExactly(other);
        assertThat(channels.find(teal, other).orElseThrow().provenAt()).contains(NOON.plusSeconds(120));
        assertThat(proofs.open(teal)).isEmpty();
        assertThat(journal()).containsExactly("channel-added", "channel-proof-sent", "channel-proven");
        assertThat(bodies()).allSatisfy(body -> assertThat(body).doesNotContain("@", "M. Teal"));
    }

    @Test
    void linkIsWorthNothingOnceItsTimeIsOverOrTheAddressIsAnother() {
        proofs.now(teal, mail.id(), by());
        String early = token();
        clock.advance(Duration.ofDays(7));
        assertThat(proofs.answer(early, ProofAnswer.ARRIVED)).isEqualTo(new Behind.Over());

        proofs.now(teal, mail.id(), by());
        String token = token();
        registration.changePerson(teal, 0, new NewPerson("M. Teal", Optional.of("teal.anew@hallowwater.example"), Optional.empty()), by());

        assertThat(proofs.answer(token, ProofAnswer.ARRIVED)).isEqualTo(new Behind.Over());
        assertThat(proven()).isEmpty();
        assertThat(proofs.answer(token + "x", ProofAnswer.ARRIVED)).isEqualTo(new Behind.NotOurs());
    }

    @Test
    void proofOfTheNightIsSentAtItsHourAndItsAnswerStandsAtTheChannel() {
        assertThat(proofs.tonight(teal, mail.id(), THREE, LONDON, by())).isEqualTo(new Asked.Done(NIGHT));
        handle(NIGHT.minusMillis(1));
        assertThat(sent()).isEmpty();

        handle(NIGHT);
        assertThat(sent()).containsExactly("PROOF " + mail.id());
        String token = token();
        assertThatThrownBy(() -> proofs.answer(token, ProofAnswer.ARRIVED)).isInstanceOf(IllegalArgumentException.class);
        proofs.answer(token, ProofAnswer.SEEN_LATER);
        clock.advance(Duration.ofMinutes(1));
        proofs.answer(token, ProofAnswer.SILENT);

        assertThat(only().night()).contains(new Night(ProofAnswer.SILENT, NIGHT.plusSeconds(60)));
        assertThat(proven()).containsExactly(mail.id());
        assertThat(journal()).containsExactly("channel-proof-planned", "channel-proof-sent", "channel-proven", "channel-proven");

        // A proof by day says nothing of the night.
        proofs.now(teal, mail.id(), by());
        proofs.answer(token(), ProofAnswer.ARRIVED);
        assertThat(only().night().orElseThrow().answer()).isEqualTo(ProofAnswer.SILENT);
    }

    @Test
    void proofOfTheNightIsPlannedOnceCanBeTakenBackAndIsNotSentByDay() {
        proofs.tonight(teal, mail.id(), LocalTime.of(2, 0), LONDON, by());
        proofs.tonight(teal, mail.id(), THREE, LONDON, by());
        handle(NIGHT);
        assertThat(sent()).hasSize(1);

        proofs.tonight(teal, mail.id(), THREE, LONDON, by());
        proofs.notTonight(teal, mail.id(), by());
        proofs.notTonight(teal, mail.id(), by());
        handle(NIGHT.plus(Duration.ofDays(1)));
        assertThat(sent()).hasSize(1);

        proofs.tonight(teal, mail.id(), THREE, LONDON, by());
        handle(NIGHT.plus(Duration.ofDays(2)).plusSeconds(3601));
        assertThat(sent()).hasSize(1);
        assertThat(journal()).containsSubsequence("channel-proof-planned", "channel-proof-withdrawn", "channel-proof-planned", "channel-proof-missed");
    }

    @Test
    void whoeverCannotOpenALinkTypesInTheCodeAndCannotGuessIt() {
        proofs.now(teal, mail.id(), by());
        assertThat(proofs.answerByCode(teal, mail.id(), "12345", ProofAnswer.ARRIVED, by())).isFalse();
        assertThat(proofs.answerByCode(teal, mail.id(), code(), ProofAnswer.RANG, by())).isFalse();
        assertThat(proofs.answerByCode(teal, mail.id(), code(), ProofAnswer.ARRIVED, by())).isTrue();
        assertThat(proven()).containsExactly(mail.id());
        assertThat(proofs.answerByCode(teal, mail.id(), code(), ProofAnswer.ARRIVED, by())).isFalse();

        proofs.now(teal, mail.id(), by());
        for (int i = 0; i < 5; i++) {
            assertThat(proofs.answerByCode(teal, mail.id(), "12345", ProofAnswer.ARRIVED, by())).isFalse();
        }
        assertThat(proofs.answerByCode(teal, mail.id(), code(), ProofAnswer.ARRIVED, by())).isFalse();
        // The link is a secret of its own.
        assertThat(proofs.answer(token(), ProofAnswer.ARRIVED)).isInstanceOf(Behind.Open.class);
        assertThat(proofs.open(teal)).isEmpty();
    }

    @Test
    void nobodyIsFloodedByTheButton() {
        for (int i = 0; i < 5; i++) {
            assertThat(proofs.now(teal, mail.id(), by())).isInstanceOf(Asked.Done.class);
            clock.advance(Duration.ofMinutes(1));
        }
        assertThat(proofs.now(teal, mail.id(), by())).isEqualTo(new Asked.TooMany(NOON.plus(Duration.ofHours(1))));

        // Nor by way of somebody else who enters the same address.
        long osk = person("R. Osk");
        long same = channels.add(osk, "MAIL", mail.address(), by()).id();
        assertThat(proofs.now(osk, same, by())).isInstanceOf(Asked.TooMany.class);

        clock.stopAt(NOON.plus(Duration.ofHours(1)));
        assertThat(proofs.now(osk, same, by())).isInstanceOf(Asked.Done.class);
        assertThat(proofs.now(teal, -1, by())).isInstanceOf(Asked.NotThere.class);
    }

    @Test
    void whoseProofIsOldIsRemindedOnceAMonthOfAllThatAreOld() {
        long other = added();
        fixture.prove(teal);
        Instant old = NOON.plus(config.proofLife());
        handle(old.minusMillis(1));
        assertThat(sent()).isEmpty();
        assertThat(proven()).hasSize(2);

        handle(old);
        assertThat(proven()).isEmpty();
        assertThat(sent()).containsExactly("NOTICE " + mail.id());
        handle(old.plus(Duration.ofDays(29)));
        assertThat(sent()).hasSize(1);
        handle(old.plus(Duration.ofDays(30)));
        assertThat(sent()).hasSize(2);

        fixture.prove(teal);
        handle(old.plus(Duration.ofDays(60)));
        assertThat(sent()).hasSize(2);
        channels.remove(teal, other, by());
        handle(old.plus(Duration.ofDays(30)).plus(config.proofLife()));
        assertThat(sent()).hasSize(3);
        assertThat(journal()).filteredOn("channel-proof-old"::equals).hasSize(3);
    }

    @Test
    void orderIsTheirsAndTheLastIsNeverTakenAway() {
        long other = added();
        long third = channels.add(teal, "MAIL", "teal.third@hallowwater.example", by()).id();

        assertThat(channels.order(teal, List.of(third, mail.id(), other), by())).isTrue();
        assertThat(channels.order(teal, List.of(third, mail.id()), by())).isFalse();
        assertThat(channels.order(teal, List.of(third, third, other), by())).isFalse();
        assertThat(channels.move(teal, third, 1, by())).isTrue();
        assertThat(channels.move(teal, other, 9, by())).isTrue();
        assertThat(channels.of(teal)).extracting(PersonChannel::id).containsExactly(mail.id(), third, other);

        assertThat(channels.remove(teal, mail.id(), by())).isPresent();
        assertThat(channels.remove(teal, third, by())).isEmpty();
        assertThat(channels.remove(teal, third, by())).isEmpty();
        registration.changePerson(teal, 0, new NewPerson("M. Teal", Optional.empty(), Optional.empty()), by());
        assertThat(channels.remove(teal, other, by())).isPresent();
        assertThat(channels.of(teal)).extracting(PersonChannel::id).containsExactly(other);

        proofs.tonight(teal, other, THREE, LONDON, by());
        registration.erasePerson(teal, by());
        assertThat(channels.of(teal)).isEmpty();
        handle(NIGHT);
        assertThat(sent()).isEmpty();
    }

    @Test
    void nobodyWithoutAProvenChannelIsWaitedFor() {
        Place place = fixture.place(1);
        // Another address of the first makes them unproven.
        registration.changePerson(place.people().get(0), 0, new NewPerson("M. Teal", Optional.of("teal.nowhere@hallowwater.example"), Optional.empty()), by());
        fixture.saysHealthy(place.first());
        fixture.passes(Duration.ofSeconds(5));

        fixture.saysLost(place.first());
        fixture.passes(Duration.ofSeconds(20));

        assertThat(fixture.called(place)).containsExactly(place.people().get(0), place.people().get(1));
        fixture.passesWhileAllSay(place, false, Duration.ofMinutes(11));
        assertThat(fixture.called(place)).containsExactlyElementsOf(place.people());
    }

    private long person(String name) {
        return registration.addPerson(new NewPerson(name, Optional.of(name.substring(3).toLowerCase(java.util.Locale.ROOT) + "." + System.nanoTime()
                + "@hallowwater.example"), Optional.empty()), By.nobody(NOON)).personId();
    }

    private long added() {
        return channels.add(teal, "MAIL", "teal.other@hallowwater.example", by()).id();
    }

    private By by() {
        return By.person(teal, clock.instant());
    }

    private PersonChannel only() {
        return channels.of(teal).get(0);
    }

    private List<Long> proven() {
        return channels.of(teal).stream().filter(channels::isProven).map(PersonChannel::id).toList();
    }

    /** What was due by then is handled then. */
    private void handle(Instant at) {
        clock.stopAt(at);
        for (List<Long> due = deadlines.due(64); !due.isEmpty(); due = deadlines.due(64)) {
            due.forEach(id -> deadlines.handle(id, claimed -> { }));
        }
    }

    private List<String> sent() {
        return texts("SELECT purpose || ' ' || channel_id FROM outgoing_message WHERE person_id = :person AND address <> '' ORDER BY id");
    }

    /** Of the newest link. */
    private String token() {
        List<String> bodies = texts("SELECT body FROM outgoing_message WHERE person_id = :person AND purpose = 'PROOF' ORDER BY id");
        Matcher link = Pattern.compile("/p/(\\S+)").matcher(bodies.get(bodies.size() - 1));
        assertThat(link.find()).isTrue();
        return link.group(1);
    }

    /** Of the newest message, as its subject spells it. */
    private String code() {
        List<String> subjects = texts("SELECT subject FROM outgoing_message WHERE person_id = :person AND purpose = 'PROOF' ORDER BY id");
        return subjects.get(subjects.size() - 1).replaceAll(".*code is ([0-9 ]+)\\.", "$1");
    }

    private List<String> journal() {
        return texts("SELECT e.kind FROM journal_entry e WHERE e.body LIKE '%\"' || (SELECT p.reference FROM person p WHERE p.id = :person) || '\"%'"
                + " AND e.kind LIKE 'channel%' ORDER BY e.id");
    }

    private List<String> bodies() {
        return texts("SELECT e.body FROM journal_entry e WHERE e.body LIKE '%\"' || (SELECT p.reference FROM person p WHERE p.id = :person) || '\"%'"
                + " AND e.kind LIKE 'channel%' ORDER BY e.id");
    }

    private List<String> texts(String sql) {
        return QuarkusTransaction.requiringNew().call(() -> entities.createNativeQuery(sql, String.class).setParameter("person", teal).getResultList()
                .stream().map(String::valueOf).toList());
    }
}
