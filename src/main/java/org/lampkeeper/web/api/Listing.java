package org.lampkeeper.web.api;

import java.nio.charset.StandardCharsets;
import java.util.Base64;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.StringJoiner;
import java.util.TreeMap;
import java.util.function.Function;
import java.util.function.ToLongFunction;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.ws.rs.core.HttpHeaders;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;
import jakarta.ws.rs.core.UriInfo;

import org.jspecify.annotations.Nullable;

import org.lampkeeper.web.ProblemType;
import org.lampkeeper.web.Reads;
import org.lampkeeper.web.Reads.RowReader;
import org.lampkeeper.web.Refused;

/**
 * Lists in pages. A page goes on where the one before ended, by id, so that what is added or taken away meanwhile neither repeats nor hides
 * what was there before.
 */
@ApplicationScoped
class Listing {

    // Ours: a page that is read at once, and one that the largest reader wants.
    static final int USUAL = 50;
    static final int MOST = 200;

    private static final Pattern CURSOR = Pattern.compile("([a-z-]+):(\\d{1,18})");

    private final Reads reads;
    private final StrictJson json;

    Listing(Reads reads, StrictJson json) {
        this.reads = reads;
        this.json = json;
    }

    /** The order of a list: oldest first for what is registered, newest first for what happens. */
    enum Order {
        OLDEST_FIRST(" > ?", " ASC"),
        NEWEST_FIRST(" < ?", " DESC");

        private final String beyond;
        private final String direction;

        Order(String beyond, String direction) {
            this.beyond = beyond;
            this.direction = direction;
        }
    }

    /** What is listed: {@code select} up to its FROM clause, {@code idColumn} the key by which pages go on. */
    record Source<T>(String name, String select, String idColumn, Order order, RowReader<T> reader, ToLongFunction<T> id) {
    }

    /** One page of a list. {@code next}: the address of the next page; absent on the last. */
    record Page<T>(List<T> items, Optional<String> next) {
    }

    <T> Response page(Source<T> source, Where where, UriInfo address) {
        return page(source, where, address, row -> row);
    }

    /** {@code shown}: what is answered for a row. */
    <T> Response page(Source<T> source, Where where, UriInfo address, Function<T, ?> shown) {
        int limit = limit(address);
        @Nullable String after = address.getQueryParameters().getFirst("after");
        if (after != null) {
            where.and(source.idColumn() + source.order().beyond, idIn(after, source.name()));
        }
        // The key is unique, so one row more tells whether there is a next page.
        List<T> found = reads.list(source.select() + where.sql() + " ORDER BY " + source.idColumn() + source.order().direction + " LIMIT ?",
                source.reader(), where.parameters(limit + 1));
        boolean hasMore = found.size() > limit;
        List<T> items = hasMore ? found.subList(0, limit) : found;
        Optional<String> next = hasMore ? Optional.of(next(source, source.id().applyAsLong(items.get(limit - 1)), address))
                : Optional.empty();
        Response.ResponseBuilder answer = Response.ok(json.write(new Page<>(items.stream().map(shown).toList(), next)),
                MediaType.APPLICATION_JSON_TYPE);
        next.ifPresent(link -> answer.header(HttpHeaders.LINK, "<" + link + ">; rel=\"next\""));
        return answer.build();
    }

    /** The value of a query parameter that holds an id. */
    static OptionalLong id(String name, UriInfo address) {
        @Nullable String value = address.getQueryParameters().getFirst(name);
        if (value == null) {
            return OptionalLong.empty();
        }
        if (!value.matches("\\d{1,18}")) {
            throw new Refused(ProblemType.WRONG_PARAMETER, "Parameter " + name + " is \"" + value + "\", must be an id: a whole number.");
        }
        return OptionalLong.of(Long.parseLong(value));
    }

    /** The value of a query parameter that is true or false; false when it is not there. */
    static boolean isWished(String name, UriInfo address) {
        @Nullable String value = address.getQueryParameters().getFirst(name);
        if (value != null && !value.equals("true") && !value.equals("false")) {
            throw new Refused(ProblemType.WRONG_PARAMETER, "Parameter " + name + " is \"" + value + "\", must be true or false.");
        }
        return "true".equals(value);
    }

    private static int limit(UriInfo address) {
        @Nullable String value = address.getQueryParameters().getFirst("limit");
        if (value == null) {
            return USUAL;
        }
        if (!value.matches("\\d{1,3}") || Integer.parseInt(value) < 1 || Integer.parseInt(value) > MOST) {
            throw new Refused(ProblemType.WRONG_PARAMETER, "Parameter limit is \"" + value + "\", must be 1 to " + MOST + ".");
        }
        return Integer.parseInt(value);
    }

    private static long idIn(String cursor, String list) {
        String text;
        try {
            text = new String(Base64.getUrlDecoder().decode(cursor), StandardCharsets.UTF_8);
        } catch (IllegalArgumentException notBase64) {
            text = "";
        }
        Matcher known = CURSOR.matcher(text);
        if (!known.matches() || !known.group(1).equals(list)) {
            throw new Refused(ProblemType.WRONG_PARAMETER,
                    "Parameter after is not a cursor of this list: use the address in next as it is.");
        }
        return Long.parseLong(known.group(2));
    }

    private static String next(Source<?> source, long lastId, UriInfo address) {
        Map<String, String> query = new TreeMap<>();
        address.getQueryParameters().forEach((name, values) -> query.put(name, values.get(0)));
        query.put("after", Base64.getUrlEncoder().withoutPadding()
                .encodeToString((source.name() + ":" + lastId).getBytes(StandardCharsets.UTF_8)));
        StringJoiner joined = new StringJoiner("&");
        query.forEach((name, value) -> joined.add(name + "=" + java.net.URLEncoder.encode(value, StandardCharsets.UTF_8)));
        return "/api/" + source.name() + "?" + joined;
    }
}
