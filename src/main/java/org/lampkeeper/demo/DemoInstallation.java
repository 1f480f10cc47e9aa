package org.lampkeeper.demo;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.DayOfWeek;
import java.time.Duration;
import java.time.LocalTime;
import java.time.ZoneId;
import java.util.HashSet;
import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.Set;
import java.util.stream.Collectors;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.DeserializationFeature;
import com.fasterxml.jackson.databind.JsonMappingException;
import com.fasterxml.jackson.databind.json.JsonMapper;
import com.fasterxml.jackson.datatype.jdk8.Jdk8Module;
import com.fasterxml.jackson.datatype.jsr310.JavaTimeModule;

import org.lampkeeper.access.Role;
import org.lampkeeper.callout.DutyRole;
import org.lampkeeper.electrical.Curve;
import org.lampkeeper.register.DeviceKind;
import org.lampkeeper.register.Electrician;

/** The file that the demo is filled from. People, boards and sites refer to each other by the names in the file. */
record DemoInstallation(String authority, List<DemoPerson> people, DemoCallOut operator, Optional<List<DemoWarmth>> warmth, List<DemoSite> sites) {

    record DemoPerson(String name, String mail, Optional<String> phone, Optional<List<DemoRole>> roles) {
    }

    /** Without {@code sites}: at every site. */
    record DemoRole(Role role, Optional<List<String>> sites) {
    }

    record DemoTurn(String person, Duration after) {
    }

    record DemoCallOut(Duration repeatAfter, List<DemoTurn> turns) {
    }

    record DemoSite(String name, String address, ZoneId zone, String access, String intake, Electrician electrician, DemoCallOut callOut,
            Optional<List<DemoShift>> shifts, Optional<List<DemoLook>> looks, List<DemoBoard> boards, List<DemoCabinet> cabinets) {
    }

    record DemoShift(DutyRole role, String person, Set<DayOfWeek> days, LocalTime from, LocalTime to) {
    }

    /** A look at the lamp, asked of whoever is on for {@code asked}. {@code rule}: of RFC 5545. */
    record DemoLook(String cabinet, String rule, LocalTime opens, LocalTime closes, int graceMinutes, DutyRole asked) {
    }

    /** How all cabinets with this content keep warm, and at which temperatures it may be stored; without a limit nobody has looked it up. */
    record DemoWarmth(String content, Optional<Double> lowestCelsius, Optional<Double> highestCelsius, Optional<Double> setPointCelsius,
            Optional<Double> heaterWatt, Optional<Double> wattPerKelvin, Optional<Double> joulePerKelvin, Optional<Double> coldestCelsius,
            boolean needsSupply) {
    }

    record DemoBoard(String name, String place, String access) {
    }

    record DemoCabinet(String code, String name, String place, String content, String lampPlace, DemoCircuit circuit, DemoSensor sensor) {
    }

    /** {@code boardAt} is the site where the board stands, when it is not the cabinet's own. */
    record DemoCircuit(String board, Optional<String> boardAt, String way, DeviceKind device, Curve curve, int ratingAmpere,
            OptionalInt residualMilliampere, String cable, int fuseAmpere, String fusedUnitPlace) {
    }

    record DemoSensor(String deviceId, String baseName) {
    }

    // A missing or misspelt name must not become an empty place in an alarm message, so both stop the start.
    private static final JsonMapper READER = JsonMapper.builder()
            .addModules(new Jdk8Module(), new JavaTimeModule())
            .enable(DeserializationFeature.FAIL_ON_UNKNOWN_PROPERTIES)
            .enable(DeserializationFeature.FAIL_ON_NULL_CREATOR_PROPERTIES)
            .enable(DeserializationFeature.FAIL_ON_NULL_FOR_PRIMITIVES)
            .build();

    /**
     * @throws IllegalArgumentException naming file, place and what would be right
     */
    static DemoInstallation read(Path file) {
        if (!Files.isReadable(file)) {
            throw new IllegalArgumentException("demo installation " + file.toAbsolutePath()
                    + " is not there or not readable; start in the directory that holds config/, or set lampkeeper.demo.installation");
        }
        try {
            DemoInstallation read = READER.readValue(file.toFile(), DemoInstallation.class);
            read.refuseUnknownNames(file);
            return read;
        } catch (JsonMappingException wrong) {
            throw new IllegalArgumentException(file + ", " + place(wrong) + " at " + within(wrong.getPath()) + ": "
                    + wrong.getOriginalMessage(), wrong);
        } catch (JsonProcessingException wrong) {
            throw new IllegalArgumentException(file + ", " + place(wrong) + ": " + wrong.getOriginalMessage(), wrong);
        } catch (IOException wrong) {
            throw new IllegalArgumentException(file + ": " + wrong.getMessage(), wrong);
        }
    }

    private static String place(JsonProcessingException wrong) {
        return wrong.getLocation() == null ? "somewhere" : "line " + wrong.getLocation().getLineNr();
    }

    private static String within(List<JsonMappingException.Reference> path) {
        return path.stream()
                .map(step -> step.getFieldName() == null ? "[" + step.getIndex() + "]" : step.getFieldName())
                .collect(Collectors.joining("."))
                .replace(".[", "[");
    }

    private void refuseUnknownNames(Path file) {
        Set<String> names = people.stream().map(DemoPerson::name).collect(Collectors.toSet());
        Set<String> boards = new HashSet<>();
        sites.forEach(site -> site.boards().forEach(board -> boards.add(boardKey(site.name(), board.name()))));
        refuseUnknownPeople(file, "operator", operator, names);
        refuseUnknownSites(file);
        for (DemoSite site : sites) {
            refuseUnknownPeople(file, "site " + site.name(), site.callOut(), names);
            refuseUnknownInRota(file, site, names);
            for (DemoCabinet cabinet : site.cabinets()) {
                String board = boardKey(cabinet.circuit().boardAt().orElse(site.name()), cabinet.circuit().board());
                if (!boards.contains(board)) {
                    throw new IllegalArgumentException(file + ", cabinet " + cabinet.code() + ": board " + board
                            + " is not in the file, must be one of " + boards);
                }
            }
        }
    }

    private static void refuseUnknownInRota(Path file, DemoSite site, Set<String> names) {
        site.shifts().orElse(List.of()).stream().map(DemoShift::person).filter(person -> !names.contains(person)).findFirst().ifPresent(person -> {
            throw new IllegalArgumentException(file + ", shifts of site " + site.name() + ": person " + person + " is not in the file, must be one of "
                    + names);
        });
        Set<String> codes = site.cabinets().stream().map(DemoCabinet::code).collect(Collectors.toSet());
        site.looks().orElse(List.of()).stream().map(DemoLook::cabinet).filter(code -> !codes.contains(code)).findFirst().ifPresent(code -> {
            throw new IllegalArgumentException(file + ", looks of site " + site.name() + ": cabinet " + code + " is not there, must be one of " + codes);
        });
    }

    private void refuseUnknownSites(Path file) {
        Set<String> names = sites.stream().map(DemoSite::name).collect(Collectors.toSet());
        for (DemoPerson person : people) {
            person.roles().orElse(List.of()).stream().flatMap(role -> role.sites().orElse(List.of()).stream())
                    .filter(site -> !names.contains(site)).findFirst().ifPresent(site -> {
                        throw new IllegalArgumentException(file + ", person " + person.name() + ": site " + site
                                + " is not in the file, must be one of " + names);
                    });
        }
    }

    private static void refuseUnknownPeople(Path file, String whose, DemoCallOut list, Set<String> names) {
        for (DemoTurn turn : list.turns()) {
            if (!names.contains(turn.person())) {
                throw new IllegalArgumentException(file + ", call-out list of " + whose + ": person " + turn.person()
                        + " is not in the file, must be one of " + names);
            }
        }
    }

    static String boardKey(String site, String board) {
        return site + " / " + board;
    }
}
