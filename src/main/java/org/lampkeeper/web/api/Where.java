package org.lampkeeper.web.api;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;

/** The conditions of one query, each with its parameters. Conditions are constants of the code; only values come from outside. */
final class Where {

    private final List<String> conditions = new ArrayList<>();
    private final List<Object> parameters = new ArrayList<>();

    Where and(String condition, Object... values) {
        conditions.add(condition);
        parameters.addAll(List.of(values));
        return this;
    }

    Where andIf(OptionalLong value, String condition) {
        return value.isPresent() ? and(condition, value.getAsLong()) : this;
    }

    /** Only rows of these sites; empty: every site. */
    Where within(String column, Optional<Set<Long>> sites) {
        return sites.map(ids -> and(column + " = ANY (?)", (Object) ids.toArray(Long[]::new))).orElse(this);
    }

    String sql() {
        return conditions.isEmpty() ? "" : " WHERE " + String.join(" AND ", conditions);
    }

    Object[] parameters(Object... more) {
        List<Object> all = new ArrayList<>(parameters);
        all.addAll(List.of(more));
        return all.toArray();
    }
}
