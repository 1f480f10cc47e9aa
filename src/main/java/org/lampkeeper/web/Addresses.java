package org.lampkeeper.web;

import java.lang.annotation.Annotation;
import java.lang.reflect.Method;
import java.util.Arrays;
import java.util.Comparator;
import java.util.List;
import java.util.Objects;
import java.util.Optional;
import java.util.SortedSet;
import java.util.TreeSet;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Stream;

import jakarta.enterprise.inject.Any;
import jakarta.enterprise.inject.spi.Bean;
import jakarta.enterprise.inject.spi.BeanManager;
import jakarta.inject.Singleton;
import jakarta.ws.rs.HttpMethod;
import jakarta.ws.rs.Path;

/**
 * Which methods an address takes. The framework answers a wrong method with 405 only where the address is of one class, without the header
 * Allow that RFC 9110, section 15.5.6, wants, and with 404 elsewhere; here every address is known, from all classes.
 */
@Singleton
class Addresses {

    // A parameter of a path: its name, and the expression that it is bound to, which may have braces of one depth.
    private static final Pattern PARAMETER = Pattern.compile("\\{\\s*\\w+\\s*(?::((?:[^{}]|\\{[^{}]*})*))?}");

    private final List<Known> known;

    private record Known(String verb, Pattern path, int literals) {
    }

    Addresses(BeanManager beans) {
        // Not an Instance of everything: where one bean of any kind is an alternative, that would hold alternatives only.
        known = beans.getBeans(Object.class, Any.Literal.INSTANCE).stream().<Class<?>> map(Bean::getBeanClass)
                .filter(type -> type.isAnnotationPresent(Path.class)).distinct().flatMap(Addresses::of).toList();
        if (known.isEmpty()) {
            throw new IllegalStateException("no address is found among the beans, there must be at least the supply page's");
        }
    }

    /** Empty for an address that there is not; with HEAD where GET is, and with OPTIONS. {@code path}: begins with a slash. */
    SortedSet<String> methods(String path) {
        String plain = path.length() > 1 && path.endsWith("/") ? path.substring(0, path.length() - 1) : path;
        List<Known> matching = known.stream().filter(it -> it.path().matcher(plain).matches()).toList();
        // As Jakarta REST chooses: the one with the most literal characters.
        int most = matching.stream().map(Known::literals).max(Comparator.naturalOrder()).orElse(0);
        SortedSet<String> methods = new TreeSet<>();
        matching.stream().filter(it -> it.literals() == most).map(Known::verb).forEach(methods::add);
        if (methods.contains(HttpMethod.GET)) {
            methods.add(HttpMethod.HEAD);
        }
        if (!methods.isEmpty()) {
            methods.add(HttpMethod.OPTIONS);
        }
        return methods;
    }

    private static Stream<Known> of(Class<?> type) {
        return Arrays.stream(type.getDeclaredMethods()).flatMap(method -> verb(method).map(verb -> known(verb, path(type, method))).stream());
    }

    private static Known known(String verb, String path) {
        StringBuilder expression = new StringBuilder();
        int literals = 0;
        int end = 0;
        Matcher parameter = PARAMETER.matcher(path);
        while (parameter.find()) {
            expression.append(Pattern.quote(path.substring(end, parameter.start())));
            literals += parameter.start() - end;
            expression.append("(?:").append(Optional.ofNullable(parameter.group(1)).map(String::strip).orElse("[^/]+")).append(')');
            end = parameter.end();
        }
        expression.append(Pattern.quote(path.substring(end)));
        return new Known(verb, Pattern.compile(expression.toString()), literals + path.length() - end);
    }

    private static Optional<String> verb(Method method) {
        return Arrays.stream(method.getAnnotations()).map(Annotation::annotationType).map(type -> type.getAnnotation(HttpMethod.class))
                .filter(Objects::nonNull).map(HttpMethod::value).findFirst();
    }

    private static String path(Class<?> type, Method method) {
        String own = method.isAnnotationPresent(Path.class) ? method.getAnnotation(Path.class).value() : "";
        String path = ("/" + type.getAnnotation(Path.class).value() + "/" + own).replaceAll("/{2,}", "/");
        return path.length() > 1 && path.endsWith("/") ? path.substring(0, path.length() - 1) : path;
    }
}
