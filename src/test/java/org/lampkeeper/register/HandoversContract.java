package org.lampkeeper.register;

import java.time.Instant;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.UUID;

import jakarta.inject.Inject;

import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

import org.lampkeeper.electrical.Curve;
import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.register.HandoverSheet.Other;
import org.lampkeeper.register.Handovers.SaveResult;
import org.lampkeeper.register.Handovers.Typed;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.lampkeeper.register.HandoverField.*;

/** What hand-over records promise, whatever database they stand on. */
abstract class HandoversContract {

    private static final Instant NOW = Instant.parse("2026-11-25T08:00:00Z");

    @Inject
    Registration registration;
    @Inject
    Register register;
    @Inject
    Handovers handovers;
    @Inject
    People people;

    private CabinetSheet cabinet;
    private long one;
    private long other;

    @BeforeEach
    void aCabinetAndTwoTablets() {
        String own = UUID.randomUUID().toString().substring(0, 8).toUpperCase(java.util.Locale.ROOT);
        By by = By.nobody(NOW);
        one = registration.addPerson(new NewPerson("Marsh " + own, Optional.of("marsh." + own + "@hallowwater.example"), Optional.empty()), by).personId();
        other = registration.addPerson(new NewPerson("Teal " + own, Optional.of("teal." + own + "@hallowwater.example"), Optional.empty()), by).personId();
        SiteSheet site = registration.addSite(new NewSite("Quay " + own, "Quay 1", java.time.ZoneId.of("Europe/London"), "gate", "kiosk", Optional.empty()), by);
        BoardSheet board = registration.addBoard(new NewBoard(site.id(), "Board A", "kiosk", "key 7"), by);
        NewContent content = new NewContent("defibrillator", true, Optional.of(new Celsius(0)), Optional.empty(), List.of(new DatedPart("pads", java.time.LocalDate.of(2028, 4, 30))));
        cabinet = registration.addCabinet(new NewCabinet(site.id(), own, "North " + own, "quay", content, "under it", new NewCircuit(board.id(), "4", DeviceKind.RCBO, Curve.C, 16,
                OptionalInt.of(30), "3-core", 3, "below")), by);
    }

    @Test
    void recordBeginsWithWhatTheRegisterKnowsAndAssumesNothing() {
        HandoverSheet sheet = opened();

        assertThat(sheet.number()).isOne();
        assertThat(sheet.isOpen()).isTrue();
        assertThat(typed(sheet)).containsEntry(WAY, "4").containsEntry(RATING, "16").containsEntry(RESIDUAL, "30").containsEntry(STORAGE, "LOWEST").containsEntry(LOWEST, "0")
                .containsEntry(PART_1, "pads").containsEntry(PART_1_UNTIL, "2028-04-30").doesNotContainKeys(HIGHEST, EDITION, VOLT, ZE, POLARITY);
        assertThat(handovers.open(cabinet.cabinetId(), by(one))).as("opened again is the same").isEqualTo(sheet.id());
        assertThat(sheet.held().get(WAY).by()).isEmpty();
        assertThatThrownBy(() -> handovers.open(999_999_999, by(one))).isInstanceOf(NotRegistered.class);
    }

    @Test
    void everyDatedPartOfTheRegisterIsInTheRecord() {
        List<DatedPart> parts = java.util.stream.IntStream.rangeClosed(1, 12).mapToObj(i -> new DatedPart("part " + i, java.time.LocalDate.of(2028, i, 1))).toList();
        ContentSheet stored = register.content(cabinet.cabinetId()).orElseThrow();
        registration.changeContent(cabinet.cabinetId(), stored.version(), new NewContent("kit", true, Optional.empty(), Optional.empty(), parts), by(one));

        HandoverSheet sheet = opened();

        assertThat(sheet.values().parts()).isEqualTo(parts);
        assertThat(typed(sheet)).containsEntry(PART_12, "part 12").containsEntry(PART_12_UNTIL, "2028-12-01");
    }

    @Test
    void valueIsKeptAsTypedRightOrWrong() {
        HandoverSheet sheet = opened();

        SaveResult result = handovers.save(sheet.id(), List.of(typed(ZE, "0,35", sheet), typed(LENGTH, "30 ft", sheet)), by(one));

        assertThat(result).isInstanceOfSatisfying(SaveResult.Saved.class, saved -> {
            assertThat(typed(saved.now())).containsEntry(ZE, "0,35").containsEntry(LENGTH, "30 ft");
            assertThat(saved.now().values().number(ZE)).isEqualTo(0.35);
            assertThat(saved.now().values().problems()).containsOnlyKeys(LENGTH);
            assertThat(saved.beside()).isEmpty();
            assertThat(saved.now().revision()).isEqualTo(sheet.revision() + 2);
        });
        handovers.save(sheet.id(), List.of(typed(ZE, "0,35", sheet)), by(one));
        assertThat(found(sheet).revision()).as("a repeat changes nothing").isEqualTo(sheet.revision() + 2);
    }

    @Test
    void whatIsNoLineOfTextIsRefusedAndNothingIsStored() {
        HandoverSheet sheet = opened();

        SaveResult result = handovers.save(sheet.id(), List.of(typed(ZE, "0.35", sheet), typed(KEYS, "x".repeat(401), sheet)), by(one));

        assertThat(result).isInstanceOfSatisfying(SaveResult.Refused.class, refused -> assertThat(refused.problems()).singleElement()
                .satisfies(problem -> assertThat(problem.field()).isEqualTo("keys")));
        assertThat(found(sheet).revision()).isEqualTo(sheet.revision());
        assertThat(handovers.save(999_999_999, List.of(), by(one))).isInstanceOf(SaveResult.NotFound.class);
    }

    @Test
    void twoTabletsLoseNothingAndBothSeeIt() {
        HandoverSheet seen = opened();
        handovers.save(seen.id(), List.of(typed(LENGTH, "30", seen), typed(KEYS, "none", seen)), by(one));

        SaveResult second = handovers.save(seen.id(), List.of(typed(LENGTH, "32", seen), typed(SIZE, "2.5", seen), typed(WAY, "4", seen)), by(other));

        assertThat(second).isInstanceOfSatisfying(SaveResult.Saved.class, saved -> assertThat(saved.beside()).containsExactly(LENGTH));
        HandoverSheet both = found(seen);
        assertThat(typed(both)).containsEntry(LENGTH, "30").containsEntry(SIZE, "2.5").containsEntry(KEYS, "none");
        assertThat(both.held().get(LENGTH).beside()).extracting(Other::typed).containsExactly("32");
        assertThat(both.undecided()).containsExactly(LENGTH);

        handovers.save(seen.id(), List.of(typed(LENGTH, "32", seen)), by(other));
        assertThat(found(seen).revision()).as("sent again it is not kept again").isEqualTo(both.revision());
        handovers.save(seen.id(), List.of(typed(LENGTH, "30", both)), by(one));
        assertThat(found(seen).undecided()).as("saved with the page, nothing is decided in passing").containsExactly(LENGTH);

        handovers.save(seen.id(), List.of(new Typed(LENGTH, "30", both.revision(), true)), by(one));
        assertThat(found(seen).undecided()).isEmpty();
        assertThat(typed(found(seen))).containsEntry(LENGTH, "30");
    }

    @Test
    void fieldThatWasNotTouchedOnAnOldPageOverwritesNothing() {
        HandoverSheet old = opened();
        handovers.save(old.id(), List.of(typed(WAY, "5", old)), by(one));

        handovers.save(old.id(), List.of(typed(WAY, "4", old), typed(KEYS, "key 7", old)), by(other));

        assertThat(typed(found(old))).containsEntry(WAY, "5").containsEntry(KEYS, "key 7");
        assertThat(found(old).undecided()).isEmpty();
    }

    @Test
    void bothSignTheSameAndALaterChangeIsAVersionOfItsOwn() {
        HandoverSheet sheet = opened();
        assertThat(handovers.installerSigns(sheet.id(), sheet.revision() - 1, "", "{}", "f".repeat(64), by(one))).as("something was typed since").isFalse();
        assertThat(handovers.installerSigns(sheet.id(), sheet.revision(), "none", "{}", "f".repeat(64), by(one))).isTrue();
        assertThat(handovers.save(sheet.id(), List.of(typed(ZE, "1", sheet)), by(one))).isInstanceOf(SaveResult.Closed.class);
        assertThat(handovers.siteSigns(sheet.id(), "e".repeat(64), by(other))).as("another document").isFalse();
        assertThat(handovers.siteSigns(sheet.id(), "f".repeat(64), by(one))).as("the same person").isFalse();
        assertThat(handovers.installerTakesBack(sheet.id(), by(one))).isTrue();
        assertThat(found(sheet).isOpen()).isTrue();

        assertThat(handovers.installerSigns(sheet.id(), sheet.revision(), "none", "{\"a\":1}", "f".repeat(64), by(one))).isTrue();
        assertThat(handovers.siteSigns(sheet.id(), "f".repeat(64), by(other))).isTrue();
        assertThat(handovers.siteSigns(sheet.id(), "f".repeat(64), by(other))).as("once").isFalse();
        assertThat(handovers.installerTakesBack(sheet.id(), by(one))).as("what both signed stays").isFalse();
        assertThat(handovers.document(sheet.id())).contains("{\"a\":1}");

        HandoverSheet next = found(handovers.open(cabinet.cabinetId(), by(one)));
        handovers.save(next.id(), List.of(typed(WAY, "6", next)), by(one));
        assertThat(handovers.ofCabinet(cabinet.cabinetId())).extracting(HandoverSheet::number).containsExactly(2, 1);
        assertThat(typed(found(sheet))).containsEntry(WAY, "4");
        assertThat(typed(found(next.id()))).containsEntry(WAY, "6").containsEntry(RATING, "16");
    }

    @Test
    void photoIsKeptOnceACabinetAndNamedByTheVersionsThatShowIt() {
        HandoverSheet sheet = opened();
        byte[] jpeg = new byte[900_000];
        java.util.Arrays.fill(jpeg, (byte) 0xa5);
        String sha256 = Sha256.hex(jpeg);
        assertThat(handovers.save(sheet.id(), List.of(typed(POSITION_PHOTO, sha256, sheet)), by(one))).as("not sent yet").isInstanceOf(SaveResult.Refused.class);

        assertThat(handovers.savePhoto(sheet.id(), POSITION_PHOTO, jpeg, sha256, sheet.revision(), by(one))).isInstanceOf(SaveResult.Saved.class);
        assertThat(handovers.savePhoto(sheet.id(), POSITION_PHOTO, jpeg, sha256, sheet.revision(), by(one))).as("sent again").isInstanceOf(SaveResult.Saved.class);

        assertThat(typed(found(sheet))).containsEntry(POSITION_PHOTO, sha256);
        assertThat(found(sheet).revision()).isEqualTo(sheet.revision() + 1);
        assertThat(handovers.photo(sheet.id(), sha256)).hasValueSatisfying(kept -> assertThat(kept).isEqualTo(jpeg));
        assertThat(handovers.photo(sheet.id(), "0".repeat(64))).isEmpty();
        for (int i = 1; i < 20; i++) {
            handovers.savePhoto(sheet.id(), POSITION_PHOTO, new byte[] {(byte) i}, Sha256.hex(new byte[] {(byte) i}), found(sheet).revision(), by(one));
        }
        assertThat(handovers.savePhoto(sheet.id(), POSITION_PHOTO, new byte[] {20}, Sha256.hex(new byte[] {20}), found(sheet).revision(), by(one))).isInstanceOf(SaveResult.Refused.class);
        handovers.installerSigns(sheet.id(), found(sheet).revision(), "none", "{}", "f".repeat(64), by(one));
        assertThat(handovers.savePhoto(sheet.id(), POSITION_PHOTO, jpeg, sha256, 0, by(one))).isInstanceOf(SaveResult.Closed.class);
        handovers.siteSigns(sheet.id(), "f".repeat(64), by(other));

        long next = handovers.open(cabinet.cabinetId(), by(one));
        assertThat(handovers.photo(next, typed(found(next)).get(POSITION_PHOTO))).as("a new version begins with it").isPresent();
    }

    @Test
    void recordOfACabinetOutOfUseIsOnlyReadUntilItIsBack() {
        HandoverSheet open = opened();
        registration.takeOutOfUse(cabinet.cabinetId(), cabinet.version(), "the quay is rebuilt", by(one));

        assertThat(handovers.save(open.id(), List.of(typed(ZE, "1", open)), by(one))).isInstanceOfSatisfying(SaveResult.Closed.class,
                closed -> assertThat(closed.now().closedBecause().orElseThrow()).contains("out of use"));
        assertThat(handovers.installerSigns(open.id(), open.revision(), "", "{}", "f".repeat(64), by(one))).isFalse();
        assertThatThrownBy(() -> handovers.open(cabinet.cabinetId(), by(one))).isInstanceOf(NotRegistered.class);
        assertThat(typed(found(open))).containsEntry(WAY, "4");

        CabinetSheet back = registration.bringBackIntoUse(cabinet.cabinetId(), cabinet.version() + 1, new NewCircuit(cabinet.board().id(), "5", DeviceKind.RCBO, Curve.C, 16,
                OptionalInt.of(30), "3-core", 3, "below"), by(one));
        assertThat(handovers.installerSigns(open.id(), open.revision(), "", "{}", "f".repeat(64), by(one))).isTrue();
        registration.takeOutOfUse(cabinet.cabinetId(), back.version(), "rebuilt again", by(one));
        assertThat(handovers.siteSigns(open.id(), "f".repeat(64), by(other))).isFalse();
        assertThat(handovers.installerTakesBack(open.id(), by(one))).isFalse();
    }

    @Test
    void nameOfWhoeverIsErasedDoesNotStay() {
        HandoverSheet sheet = opened();
        String name = people.contact(one).name();
        handovers.save(sheet.id(), List.of(typed(INSTALLER, name + ", Marsh and sons", sheet), typed(KEYS, "7", sheet)), by(one));
        handovers.installerSigns(sheet.id(), found(sheet).revision(), name + " decided", "{\"remark\":\"" + name + " decided\"}", "f".repeat(64), by(other));

        registration.erasePerson(one, by(other));

        assertThat(typed(found(sheet))).containsEntry(INSTALLER, "erased, Marsh and sons").containsEntry(KEYS, "7");
        assertThat(found(sheet).remark()).contains("erased decided");
        assertThat(handovers.document(sheet.id())).contains("{\"remark\":\"erased decided\"}");
    }

    private HandoverSheet opened() {
        return found(handovers.open(cabinet.cabinetId(), by(one)));
    }

    private HandoverSheet found(HandoverSheet sheet) {
        return found(sheet.id());
    }

    private HandoverSheet found(long id) {
        return handovers.find(id).orElseThrow();
    }

    private static Typed typed(HandoverField field, String typed, HandoverSheet seen) {
        return new Typed(field, typed, seen.revision(), false);
    }

    private static Map<HandoverField, String> typed(HandoverSheet sheet) {
        return sheet.held().entrySet().stream().collect(java.util.stream.Collectors.toMap(Map.Entry::getKey, it -> it.getValue().typed()));
    }

    private static By by(long person) {
        return By.person(person, NOW);
    }
}
