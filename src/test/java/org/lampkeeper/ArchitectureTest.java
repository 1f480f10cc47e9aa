package org.lampkeeper;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeSet;
import java.util.stream.Collectors;

import com.tngtech.archunit.core.domain.JavaClasses;
import com.tngtech.archunit.core.importer.ClassFileImporter;
import com.tngtech.archunit.core.importer.ImportOption;
import org.junit.jupiter.api.DynamicTest;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestFactory;

import static com.tngtech.archunit.core.domain.JavaClass.Predicates.resideInAnyPackage;
import static com.tngtech.archunit.lang.syntax.ArchRuleDefinition.classes;
import static com.tngtech.archunit.lang.syntax.ArchRuleDefinition.noClasses;
import static org.assertj.core.api.Assertions.assertThat;

/** The arrows between the rooms, and what the pure ones never do. Each rule fails when an arrow points up. */
class ArchitectureTest {

    private static final String ROOT = "org.lampkeeper";
    private static final String[] NULLNESS = {"org.jspecify.annotations.."};

    /** Pure rooms: the JDK, these rooms, and the nullness annotations; nothing else. */
    private static final Map<String, Set<String>> PURE = Map.of(
            "quantity", Set.of(),
            "electrical", Set.of(),
            "thermal", Set.of(),
            "supply", Set.of(),
            "check", Set.of(),
            "alarm", Set.of("supply", "thermal", "check"),
            "callout", Set.of("alarm"));

    /** What a pure room may use besides: a library that is as pure. */
    private static final Map<String, List<String>> LIBRARIES = Map.of("check", List.of("org.dmfs.rfc5545.."),
            "thermal", List.of("org.apache.commons.math3.."));

    /** Rooms at the edge: which of our rooms they may know. They may use any library. */
    private static final Map<String, Set<String>> EDGE = Map.ofEntries(
            Map.entry("register", Set.of("supply", "thermal", "check", "alarm", "callout", "electrical")),
            Map.entry("telemetry", Set.of("supply", "register")),
            Map.entry("journal", Set.of()),
            Map.entry("access", Set.of("register", "journal")),
            Map.entry("message", Set.of("electrical", "alarm", "callout", "register", "journal", "supply")),
            Map.entry("watch", Set.of("supply", "thermal", "check", "alarm", "callout", "electrical", "register", "telemetry", "message", "journal")),
            Map.entry("report", Set.of("register", "journal")),
            Map.entry("upkeep", Set.of("register", "journal")),
            Map.entry("demo", Set.of("access", "register", "electrical", "callout", "check", "message", "telemetry", "simulator")),
            Map.entry("web", Set.of("supply", "thermal", "check", "alarm", "callout", "electrical", "register", "telemetry", "message", "journal",
                    "watch", "report", "upkeep", "demo", "access")),
            Map.entry("simulator", Set.of()));

    private static final JavaClasses OURS = new ClassFileImporter()
            .withImportOption(ImportOption.Predefined.DO_NOT_INCLUDE_TESTS).importPackages(ROOT);

    @TestFactory
    List<DynamicTest> pureRoomsKnowOnlyTheJdkAndTheirNeighbours() {
        return PURE.entrySet().stream().map(room -> DynamicTest.dynamicTest(room.getKey(), () -> {
            List<String> allowed = new ArrayList<>(List.of("java.."));
            allowed.addAll(Arrays.asList(NULLNESS));
            allowed.addAll(packages(room.getKey(), room.getValue()));
            allowed.addAll(LIBRARIES.getOrDefault(room.getKey(), List.of()));
            classes().that().resideInAPackage(in(room.getKey())).should().onlyDependOnClassesThat()
                    .resideInAnyPackage(allowed.toArray(String[]::new)).allowEmptyShould(true).check(OURS);
        })).toList();
    }

    @TestFactory
    List<DynamicTest> edgeRoomsKnowOnlyTheRoomsBelowThem() {
        return EDGE.entrySet().stream().map(room -> DynamicTest.dynamicTest(room.getKey(), () -> {
            String[] allowed = packages(room.getKey(), room.getValue()).toArray(String[]::new);
            classes().that().resideInAPackage(in(room.getKey())).should().onlyDependOnClassesThat(
                    resideInAnyPackage(allowed).or(com.tngtech.archunit.base.DescribedPredicate.not(resideInAnyPackage(ROOT + ".."))))
                    .allowEmptyShould(true).check(OURS);
        })).toList();
    }

    /** A large room may have packages of its own inside; they are the same room. */
    @Test
    void everyPackageIsARoomOfTheDesign() {
        Set<String> rooms = OURS.stream().map(each -> each.getPackageName()).filter(name -> !name.equals(ROOT))
                .map(name -> name.substring(ROOT.length() + 1).split("\\.")[0]).collect(Collectors.toCollection(TreeSet::new));
        Set<String> known = new TreeSet<>(PURE.keySet());
        known.addAll(EDGE.keySet());

        assertThat(known).containsAll(rooms);
    }

    @Test
    void pureRoomsReadNoClockAndRollNoDice() {
        noClasses().that().resideInAnyPackage(PURE.keySet().stream().map(ArchitectureTest::in).toArray(String[]::new))
                .should().callMethod(java.time.Instant.class, "now")
                .orShould().callMethod(java.time.LocalDate.class, "now")
                .orShould().callMethod(java.time.LocalDateTime.class, "now")
                .orShould().callMethod(java.time.ZonedDateTime.class, "now")
                .orShould().callMethod(java.time.ZoneId.class, "systemDefault")
                .orShould().callMethod(java.util.UUID.class, "randomUUID")
                .orShould().callMethod(System.class, "currentTimeMillis")
                .orShould().callMethod(System.class, "nanoTime")
                .orShould().callMethod(Math.class, "random")
                .orShould().dependOnClassesThat().belongToAnyOf(java.util.Random.class, java.time.Clock.class)
                .check(OURS);
    }

    @Test
    void timeComesInThroughAnInjectedClock() {
        noClasses().that().resideOutsideOfPackage(in("simulator"))
                .should().callMethod(java.time.Instant.class, "now")
                .orShould().callMethod(System.class, "currentTimeMillis")
                .check(OURS);
    }

    @Test
    void locksAreNativeSqlNextToTheirUse() {
        noClasses().should().dependOnClassesThat().haveFullyQualifiedName("jakarta.persistence.LockModeType").check(OURS);
    }

    private static List<String> packages(String own, Set<String> others) {
        List<String> names = new ArrayList<>(List.of(in(own), in("quantity")));
        others.forEach(other -> names.add(in(other)));
        return names;
    }

    private static String in(String room) {
        return ROOT + "." + room + "..";
    }
}
