package org.lampkeeper.web.api;

import java.io.IOException;
import java.io.InputStream;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.TreeSet;
import java.util.stream.Collectors;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import org.eclipse.microprofile.openapi.OASFactory;
import org.eclipse.microprofile.openapi.OASFilter;
import org.eclipse.microprofile.openapi.models.OpenAPI;
import org.eclipse.microprofile.openapi.models.Operation;
import org.eclipse.microprofile.openapi.models.PathItem.HttpMethod;
import org.eclipse.microprofile.openapi.models.media.MediaType;
import org.eclipse.microprofile.openapi.models.media.Schema;
import org.eclipse.microprofile.openapi.models.parameters.Parameter;
import org.eclipse.microprofile.openapi.models.responses.APIResponse;
import org.eclipse.microprofile.openapi.models.security.SecurityScheme;

import org.lampkeeper.web.ProblemType;

/**
 * Completes the description of the interface with what all operations have alike: how to sign in, which headers, which refusals, and an
 * example for each body. Examples stand once for each kind of body, in {@code api/examples.json}.
 */
public class ApiDescription implements OASFilter {

    private static final String JSON = "application/json";
    private static final String PROBLEM_JSON = "application/problem+json";
    private static final String TOKEN = "token";

    private static final Map<String, String> PARAMETERS = Map.ofEntries(
            Map.entry("site", "Id of a site"), Map.entry("board", "Id of a board"), Map.entry("cabinet", "Id of a cabinet"),
            Map.entry("circuit", "Id of a circuit"), Map.entry("sensor", "Device id of a sensor"), Map.entry("person", "Id of a person"),
            Map.entry("channel", "Id of a channel"), Map.entry("alarm", "Id of an alarm"), Map.entry("message", "Id of a message"),
            Map.entry("work", "Id of announced work"), Map.entry("plan", "Id of a plan of looks"),
            Map.entry("check", "Id of a look that is due"), Map.entry("webhook", "Id of a webhook"),
            Map.entry("delivery", "Id of what a webhook was told"), Map.entry("entry", "Number of a journal entry in the chain"));

    /** Which parameters narrow which list. */
    private static final Map<String, List<String>> NARROWING = Map.of("listSites", List.of(), "listBoards", List.of("site"),
            "listCabinets", List.of("site"), "listCircuits", List.of("site", "board", "cabinet"), "listSensors", List.of("site",
                    "cabinet", "retired?"),
            "listPeople", List.of(), "listCallOutLists", List.of(), "listAlarms", List.of("site", "cabinet", "open?"),
            "listMessages", List.of("site", "alarm", "person"));
    private static final Map<String, List<String>> MORE_NARROWING = Map.of("listAnnouncedWork", List.of("site"),
            "listJournal", List.of("site", "cabinet", "alarm"), "listWebhooks", List.of("site"), "listWebhookDeliveries", List.of("webhook", "alarm"),
            "listCheckPlans", List.of("site", "cabinet"), "listChecks", List.of("site", "cabinet"), "listCheckRecords", List.of("site", "cabinet"));

    private final JsonNode examples = examples();

    static JsonNode examples() {
        try (InputStream file = ApiDescription.class.getResourceAsStream("/api/examples.json")) {
            if (file == null) {
                throw new IllegalStateException("api/examples.json is missing from the program");
            }
            return new ObjectMapper().readTree(file);
        } catch (IOException e) {
            throw new IllegalStateException("api/examples.json cannot be read", e);
        }
    }

    @Override
    public void filterOpenAPI(OpenAPI api) {
        api.getInfo().setDescription("""
                Everything that the pages of Lampkeeper can do, for programs. Sign in with a token made on the page "me"; it may do at most what its \
                owner may, and what its owner cannot see does not exist. Times are ISO 8601 in UTC, units stand in the names, what is absent is left \
                out. Explained with examples to run in docs/api.md.""");
        api.getComponents().addSecurityScheme(TOKEN, OASFactory.createSecurityScheme().type(SecurityScheme.Type.HTTP).scheme("bearer")
                .description("A token made on the page \"me\": Authorization: Bearer lamp_…"));
        api.addSecurityRequirement(OASFactory.createSecurityRequirement().addScheme(TOKEN));
        api.getComponents().addSchema("Problem", problem());
        for (int status : Arrays.stream(ProblemType.values()).mapToInt(ProblemType::status).distinct().toArray()) {
            api.getComponents().addResponse("problem-" + status, refusal(status));
        }
        api.getPaths().getPathItems().forEach((path, item) -> item.getOperations().forEach((method, operation) -> complete(path, method,
                operation)));
    }

    private void complete(String path, HttpMethod method, Operation operation) {
        boolean isOne = path.contains("{");
        boolean isList = method == HttpMethod.GET && operation.getOperationId().startsWith("list");
        describe(operation, isOne);
        TreeSet<Integer> refusals = new TreeSet<>(List.of(401, 403, 406, 429, 500));
        boolean isFile = operation.getResponses().getAPIResponses().entrySet().stream().anyMatch(answer -> answer.getKey().equals("200")
                && answer.getValue().getContent() != null && answer.getValue().getContent().getMediaType(JSON) == null);
        if (isOne || isFile) {
            refusals.add(404);
        }
        if (isList) {
            refusals.add(400);
            paged(operation);
        }
        switch (method) {
            case GET -> {
                if (!isList && !isFile) {
                    header(operation, "If-None-Match", false, "The ETag of what is known already: unchanged, it is answered with 304.");
                    operation.getResponses().addAPIResponse("304", OASFactory.createAPIResponse().description("It is as known."));
                    if (operation.getParameters().stream().anyMatch(parameter -> parameter.getIn() == Parameter.In.QUERY)) {
                        refusals.add(400);
                    }
                }
            }
            case POST -> {
                header(operation, Once.HEADER, false,
                        "A random key, at most 255 characters: sent again within 24 hours with the same body, the request is"
                        + " carried out once and answered alike.");
                refusals.addAll(List.of(400, 409, 413, 415, 422));
            }
            case PUT -> {
                header(operation, "If-Match", true, "The ETag that was answered when it was read, or * for whatever is stored.");
                refusals.addAll(List.of(400, 412, 413, 415, 422, 428));
            }
            case DELETE -> {
                header(operation, "If-Match", true, "The ETag that was answered when it was read, or * for whatever is stored.");
                operation.getResponses().addAPIResponse("204", OASFactory.createAPIResponse().description("It is done."));
                Optional.ofNullable(operation.getResponses().getAPIResponse("200")).ifPresent(made -> operation.getResponses()
                        .removeAPIResponse("200"));
                refusals.addAll(List.of(409, 412, 422, 428));
            }
            default -> throw new IllegalStateException(method + " " + path + " is not described");
        }
        operation.getResponses().removeAPIResponse("400");
        refusals.forEach(status -> operation.getResponses().addAPIResponse("" + status,
                OASFactory.createAPIResponse().ref("#/components/responses/problem-" + status)));
        body(operation, method);
        if (isFile) {
            operation.getResponses().getAPIResponse("200").getContent().getMediaTypes().values().forEach(file -> file.schema(schema(Schema.SchemaType.STRING).format("binary")));
        } else {
            operation.getResponses().getAPIResponses().forEach((status, answer) -> answered(method, isList, status, answer));
        }
    }

    private static void describe(Operation operation, boolean isOne) {
        if (operation.getDescription() == null) {
            operation.setDescription(operation.getSummary() + ".");
        }
        if (isOne && operation.getParameters() != null) {
            operation.getParameters().stream().filter(parameter -> parameter.getIn() == Parameter.In.PATH)
                    .forEach(parameter -> parameter.description(PARAMETERS.get(parameter.getName())).example(
                            parameter.getName().equals("sensor") ? "ns-2-lamp" : 1000));
        }
    }

    private static void paged(Operation operation) {
        List<String> narrowing = NARROWING.getOrDefault(operation.getOperationId(),
                MORE_NARROWING.getOrDefault(operation.getOperationId(), List.of()));
        for (String name : narrowing) {
            boolean isWish = name.endsWith("?");
            String plain = name.replace("?", "");
            operation.addParameter(OASFactory.createParameter().name(plain).in(Parameter.In.QUERY)
                    .description(isWish ? "true or false" : PARAMETERS.get(plain) + ": only what belongs to it")
                    .schema(schema(isWish ? Schema.SchemaType.BOOLEAN : Schema.SchemaType.INTEGER)));
        }
        operation.addParameter(OASFactory.createParameter().name("after").in(Parameter.In.QUERY)
                .description("Where the page before ended: as in next, never made up").schema(schema(Schema.SchemaType.STRING)));
        operation.addParameter(OASFactory.createParameter().name("limit").in(Parameter.In.QUERY)
                .description("How many, 1 to " + Listing.MOST + "; without it " + Listing.USUAL).schema(schema(Schema.SchemaType.INTEGER)));
    }

    private void body(Operation operation, HttpMethod method) {
        if (method != HttpMethod.POST && method != HttpMethod.PUT) {
            operation.setRequestBody(null);
            return;
        }
        Optional<MediaType> body = Optional.ofNullable(operation.getRequestBody()).map(sent -> sent.getContent().getMediaType(JSON));
        Optional<String> name = body.map(MediaType::getSchema).flatMap(ApiDescription::named);
        if (name.isPresent()) {
            operation.getRequestBody().required(true);
            body.get().example(example(name.get()));
        } else {
            operation.setRequestBody(OASFactory.createRequestBody().required(false).description("Nothing, or an empty object")
                    .content(OASFactory.createContent()
                    .addMediaType(JSON, OASFactory.createMediaType().schema(schema(Schema.SchemaType.OBJECT)).example(Map.of()))));
        }
    }

    private void answered(HttpMethod method, boolean isList, String status, APIResponse answer) {
        if (!status.startsWith("2") || answer.getContent() == null) {
            return;
        }
        answer.setDescription(status.equals("201") ? "It is registered." : isList ? "One page of the list." : "As it is now.");
        MediaType body = answer.getContent().getMediaType(JSON);
        named(body.getSchema()).ifPresent(name -> body.example(example(name)));
        if (isList) {
            answer.addHeader("Link", OASFactory.createHeader().description("The next page, with rel=\"next\"; absent on the last.")
                    .schema(schema(Schema.SchemaType.STRING)));
        } else {
            answer.addHeader("ETag", OASFactory.createHeader().description("Names this version in If-Match and If-None-Match.")
                    .schema(schema(Schema.SchemaType.STRING)));
        }
        if (status.equals("201")) {
            answer.addHeader("Location", OASFactory.createHeader().description("Where it is found.")
                    .schema(schema(Schema.SchemaType.STRING)));
        }
        if (method == HttpMethod.POST) {
            answer.addHeader(Once.REPLAYED, OASFactory.createHeader().description("true where the request had been carried out before.")
                    .schema(schema(Schema.SchemaType.STRING)));
        }
    }

    private static void header(Operation operation, String name, boolean isRequired, String description) {
        operation.addParameter(OASFactory.createParameter().name(name).in(Parameter.In.HEADER).required(isRequired).description(description)
                .schema(schema(Schema.SchemaType.STRING)));
    }

    private static APIResponse refusal(int status) {
        List<ProblemType> types = Arrays.stream(ProblemType.values()).filter(type -> type.status() == status).toList();
        String description = types.stream().map(type -> type.uri() + ": " + type.title()).collect(Collectors.joining(" "));
        Map<String, Object> example = new LinkedHashMap<>();
        example.put("type", types.get(0).uri().toString());
        example.put("title", types.get(0).title());
        example.put("status", status);
        example.put("detail", "What is wrong here, and what would be right.");
        if (types.contains(ProblemType.INVALID)) {
            example.put("errors", List.of(Map.of("pointer", "#/circuit/fuseAmpere", "detail", "fuse 15 A, must be 1 to 13 A")));
        }
        return OASFactory.createAPIResponse().description(description).content(OASFactory.createContent().addMediaType(PROBLEM_JSON,
                OASFactory.createMediaType().schema(OASFactory.createSchema().ref("#/components/schemas/Problem")).example(example)));
    }

    private static Schema problem() {
        Schema error = schema(Schema.SchemaType.OBJECT)
                .addProperty("pointer", schema(Schema.SchemaType.STRING)
                        .description("JSON pointer into the body, as a URI fragment (RFC 6901)"))
                .addProperty("detail", schema(Schema.SchemaType.STRING).description("What is wrong there, and what would be right"));
        return schema(Schema.SchemaType.OBJECT).description("RFC 9457")
                .addProperty("type", schema(Schema.SchemaType.STRING).description("Stable; one of the URNs listed at each refusal")
                        .enumeration(new ArrayList<>(Arrays.stream(ProblemType.values()).map(type -> type.uri().toString()).toList())))
                .addProperty("title", schema(Schema.SchemaType.STRING)).addProperty("status", schema(Schema.SchemaType.INTEGER))
                .addProperty("detail", schema(Schema.SchemaType.STRING))
                .addProperty("errors", schema(Schema.SchemaType.ARRAY).items(error));
    }

    private static Schema schema(Schema.SchemaType type) {
        return OASFactory.createSchema().addType(type);
    }

    private static Optional<String> named(Schema schema) {
        return Optional.ofNullable(schema.getRef()).map(ref -> ref.substring(ref.lastIndexOf('/') + 1));
    }

    /** A page is an example of what it lists. */
    private Object example(String schema) {
        if (schema.endsWith("Page")) {
            Map<String, Object> page = new LinkedHashMap<>();
            String item = schema.substring(0, schema.length() - "Page".length());
            JsonNode one = examples.path(item).isMissingNode() ? examples.path(item + "Answer") : examples.path(item);
            page.put("items", List.of(plain(one, item)));
            page.put("next", "/api/…?after=c2l0ZXM6MTAwMA");
            return page;
        }
        return plain(examples.path(schema), schema);
    }

    private static Object plain(JsonNode example, String schema) {
        if (example.isMissingNode()) {
            throw new IllegalStateException("api/examples.json has no example of " + schema);
        }
        return new ObjectMapper().convertValue(example, Object.class);
    }
}
