package org.lampkeeper.web;

import java.lang.annotation.Annotation;
import java.lang.reflect.Method;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

import jakarta.ws.rs.HttpMethod;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;

import com.tngtech.archunit.core.domain.JavaClass;
import com.tngtech.archunit.core.importer.ClassFileImporter;
import com.tngtech.archunit.core.importer.ImportOption;

import org.lampkeeper.web.AccessFilter.Rule;

/**
 * One address of the application, found in its classes. {@code path}: with its parameters; {@code verb}: GET, POST, …
 */
record Address(String verb, String path, Rule rule, Method method) {

    /** Every one that there is, so that a test which asks all of them forgets none. */
    static final List<Address> ALL = new ClassFileImporter().withImportOption(ImportOption.Predefined.DO_NOT_INCLUDE_TESTS)
            .importPackages("org.lampkeeper").stream().filter(type -> type.isAnnotatedWith(Path.class)).map(JavaClass::reflect)
            .flatMap(type -> Arrays.stream(type.getDeclaredMethods())
                    .flatMap(method -> verb(method).map(verb -> new Address(verb, path(type, method), Rule.of(method), method)).stream()))
            .toList();

    private static final Pattern PARAMETER = Pattern.compile("\\{\\s*(\\w+)\\s*(?::(?:[^{}]|\\{[^{}]*})*)?}");

    List<String> parameters() {
        return PARAMETER.matcher(path).results().map(found -> found.group(1)).toList();
    }

    String filled(Map<String, String> things) {
        return PARAMETER.matcher(path).replaceAll(found -> Matcher.quoteReplacement(things.getOrDefault(found.group(1), "x")));
    }

    /** With the names of its parameters only: {@code /sites/{site}/edit}. */
    String plainPath() {
        return PARAMETER.matcher(path).replaceAll("{$1}");
    }

    /** Whether somebody with a browser gets to see something here; what says nothing of what it gives is asked to be sure. */
    boolean isPage() {
        Produces own = method.getAnnotation(Produces.class);
        Produces given = own == null ? method.getDeclaringClass().getAnnotation(Produces.class) : own;
        return verb.equals("GET") && (given == null || List.of(given.value()).contains(MediaType.TEXT_HTML));
    }

    private static Optional<String> verb(Method method) {
        return Arrays.stream(method.getAnnotations()).map(Annotation::annotationType).map(type -> type.getAnnotation(HttpMethod.class))
                .filter(Objects::nonNull).map(HttpMethod::value).findFirst();
    }

    private static String path(Class<?> type, Method method) {
        String own = method.isAnnotationPresent(Path.class) ? method.getAnnotation(Path.class).value() : "";
        String joined = "/" + type.getAnnotation(Path.class).value() + "/" + own;
        String path = joined.replaceAll("/{2,}", "/");
        return path.length() > 1 && path.endsWith("/") ? path.substring(0, path.length() - 1) : path;
    }

    @Override
    public String toString() {
        return verb + " " + path;
    }
}
