package org.lampkeeper.message;

import java.net.URI;
import java.net.URISyntaxException;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;

import org.lampkeeper.register.Problem;

/**
 * An endpoint as entered.
 *
 * @param name   what people call it
 * @param url    where events are posted to; where its name leads to is looked at each time that it is used
 * @param siteId whose alarms it hears of; empty: those of every site, and of Lampkeeper itself
 * @param isOn   whether it hears of anything
 */
public record NewWebhook(String name, String url, OptionalLong siteId, boolean isOn) {

    private static final int LONGEST_URL = 1000;

    /** Empty when it can be registered. */
    public List<Problem> problems(boolean allowsHttp) {
        List<Problem> problems = new ArrayList<>(Problem.ofText("name", "name", name, 120));
        problems.addAll(Problem.ofText("url", "URL", url, LONGEST_URL));
        if (problems.stream().noneMatch(problem -> problem.field().equals("url"))) {
            wrongUrl(allowsHttp).ifPresent(text -> problems.add(new Problem("url", text)));
        }
        return List.copyOf(problems);
    }

    /** Without repeating it: a URL may hold a secret of its receiver's. */
    private Optional<String> wrongUrl(boolean allowsHttp) {
        URI parsed;
        try {
            parsed = new URI(url);
        } catch (URISyntaxException unreadable) {
            return Optional.of("URL cannot be read at character " + (unreadable.getIndex() + 1) + ", must be like https://hooks.example.org/lampkeeper");
        }
        String scheme = String.valueOf(parsed.getScheme());
        if (!scheme.equalsIgnoreCase("https") && !(allowsHttp && scheme.equalsIgnoreCase("http"))) {
            return Optional.of("URL must begin with https://" + (allowsHttp ? " or http://" : ""));
        }
        if (parsed.getHost() == null || parsed.getPort() == 0 || parsed.getPort() > 65_535) {
            return Optional.of("URL has no host, or a port that there is not, must be like https://hooks.example.org/lampkeeper");
        }
        if (parsed.getRawUserInfo() != null) {
            return Optional.of("URL has a login before its host, must be without: events are signed instead");
        }
        return parsed.getRawFragment() == null ? Optional.empty() : Optional.of("URL has a part after #, which is never sent, must be without");
    }
}
