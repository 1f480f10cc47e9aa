package org.lampkeeper.web.api;

import java.io.ByteArrayInputStream;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeSet;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.tngtech.archunit.core.importer.ClassFileImporter;
import com.tngtech.archunit.core.importer.ImportOption;
import io.quarkus.test.junit.QuarkusTest;
import io.restassured.RestAssured;
import org.eclipse.microprofile.openapi.annotations.Operation;
import org.junit.jupiter.api.Test;

import org.lampkeeper.web.ProblemType;

import static org.assertj.core.api.Assertions.assertThat;

/** What the interface says of itself. */
@QuarkusTest
class ApiDescriptionTest {

    private static final Set<String> VERBS = Set.of("get", "post", "put", "delete");

    private record Described(String name, String verb, JsonNode operation) {
    }

    @Test
    void everyOperationIsDescribedWithExamplesAndEveryRefusal() {
        List<Described> operations = operations(document());

        assertThat(operations).extracting(it -> it.operation().path("operationId").asText()).doesNotHaveDuplicates()
                .containsExactlyInAnyOrderElementsOf(declared());
        assertThat(operations).allSatisfy(it -> {
            JsonNode operation = it.operation();
            assertThat(operation.path("summary").asText()).as(it.name()).isNotBlank();
            assertThat(operation.path("description").asText()).as(it.name()).isNotBlank();
            assertThat(operation.path("tags").size()).as(it.name()).isOne();
            Set<String> statuses = new TreeSet<>();
            operation.path("responses").fieldNames().forEachRemaining(statuses::add);
            assertThat(statuses).as(it.name()).contains("401", "403", "406", "429", "500").doesNotContain("default");
            assertThat(statuses.stream().filter(status -> status.startsWith("2")).toList()).as(it.name()).hasSize(1);
            switch (it.verb()) {
                case "post" -> assertThat(statuses).as(it.name()).contains("400", "409", "413", "415", "422");
                case "put" -> assertThat(statuses).as(it.name()).contains("400", "412", "413", "415", "422", "428");
                case "delete" -> assertThat(statuses).as(it.name()).contains("204", "412", "428");
                default -> assertThat(statuses).as(it.name()).containsAnyOf("304", "400", "404");
            }
            JsonNode file = operation.path("responses").path("200").path("content").path("application/zip");
            if (!file.isMissingNode()) {
                assertThat(file.path("schema").path("format").asText()).as(it.name()).isEqualTo("binary");
                return;
            }
            if (it.verb().equals("get")) {
                assertThat(statuses).as(it.name()).containsAnyOf("304", "400");
            }
            operation.path("responses").fields().forEachRemaining(answer -> {
                if (answer.getKey().equals("200") || answer.getKey().equals("201")) {
                    JsonNode body = answer.getValue().path("content").path("application/json");
                    assertThat(body.path("example").isObject()).as(it.name() + " " + answer.getKey()).isTrue();
                    assertThat(body.path("schema").path("$ref").asText()).as(it.name()).startsWith("#/components/schemas/");
                }
            });
            if (it.verb().equals("post") || it.verb().equals("put")) {
                assertThat(operation.path("requestBody").path("content").path("application/json").path("example").isObject())
                        .as(it.name()).isTrue();
            }
            operation.path("parameters").forEach(parameter -> assertThat(parameter.path("description").asText())
                    .as(it.name() + " " + parameter.path("name").asText()).isNotBlank());
        });
    }

    @Test
    void everyReferenceLeadsSomewhereAndEveryProblemIsNamed() {
        JsonNode document = document();

        assertThat(document.path("openapi").asText()).startsWith("3.");
        document.findValuesAsText("$ref").forEach(ref -> assertThat(document.at(ref.substring(1)).isMissingNode()).as(ref).isFalse());
        String refusals = document.path("components").path("responses").toString();
        Arrays.stream(ProblemType.values()).forEach(type -> assertThat(refusals).contains(type.uri().toString()));
        assertThat(document.path("components").path("securitySchemes").path("token").path("scheme").asText()).isEqualTo("bearer");
        assertThat(document.path("security").toString()).contains("token");
    }

    /** An example that the program itself would not take, or not write, would be worse than none. */
    @Test
    void everyExampleIsOneThatIsTakenOrWritten() throws Exception {
        Map<String, Class<?>> records = new java.util.HashMap<>();
        new ClassFileImporter().withImportOption(ImportOption.Predefined.DO_NOT_INCLUDE_TESTS).importPackages("org.lampkeeper.web.api")
                .stream()
                .filter(type -> type.isAssignableTo(Record.class)).forEach(type -> records.put(type.getSimpleName(), type.reflect()));
        StrictJson json = new StrictJson();
        ObjectMapper mapper = new ObjectMapper();
        List<String> names = new ArrayList<>();
        ApiDescription.examples().fieldNames().forEachRemaining(names::add);

        assertThat(names).isNotEmpty();
        for (String name : names) {
            JsonNode example = ApiDescription.examples().path(name);
            assertThat(records).containsKey(name);
            if (name.equals("JournalEntry")) {
                // Its facts are written as they stand, and cannot be read back into a text.
                continue;
            }
            Object read = json.read(new ByteArrayInputStream(example.toString().getBytes(StandardCharsets.UTF_8)), records.get(name))
                    .value();
            assertThat(mapper.readTree(json.write(read))).as(name).isEqualTo(mapper.readTree(example.toString()));
        }
    }

    @Test
    void noPageOfScriptsStandsBesideIt() {
        RestAssured.given().accept("text/html").get("/q/swagger-ui").then().statusCode(404);
    }

    private static JsonNode document() {
        try {
            return new ObjectMapper().readTree(RestAssured.given().get("/api/openapi?format=json").then().statusCode(200).extract()
                    .asByteArray());
        } catch (java.io.IOException e) {
            throw new IllegalStateException(e);
        }
    }

    private static List<Described> operations(JsonNode document) {
        List<Described> operations = new ArrayList<>();
        document.path("paths").fields().forEachRemaining(path -> {
            assertThat(path.getKey()).startsWith("/api/");
            path.getValue().fields().forEachRemaining(operation -> {
                if (VERBS.contains(operation.getKey())) {
                    operations.add(new Described(operation.getKey() + " " + path.getKey(), operation.getKey(), operation.getValue()));
                }
            });
        });
        return operations;
    }

    private static List<String> declared() {
        return new ClassFileImporter().withImportOption(ImportOption.Predefined.DO_NOT_INCLUDE_TESTS)
                .importPackages("org.lampkeeper.web.api").stream()
                .filter(type -> type.isAnnotatedWith(jakarta.ws.rs.Path.class)).flatMap(type -> Arrays.stream(type.reflect()
                        .getDeclaredMethods()))
                .filter(method -> method.isAnnotationPresent(Operation.class)).map(method -> method.getAnnotation(Operation.class)
                        .operationId()).toList();
    }
}
