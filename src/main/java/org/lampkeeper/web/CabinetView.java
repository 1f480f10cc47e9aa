package org.lampkeeper.web;

import java.util.List;
import java.util.Optional;

import org.lampkeeper.web.AlarmView.Phone;

/**
 * The page of one cabinet with every word decided.
 *
 * @param look   of its lamp: {@code lit}, {@code lost} or {@code unknown}
 * @param stored how its content may be stored, and until when its parts are good
 * @param warmth how long its content has without heating, and from what that is reckoned
 * @param access keys and codes, one sentence each
 * @param plot   the last day, and how it would go on without heating; empty where nothing was measured
 * @param spans  when it was without supply, or nobody knew, in the last day
 * @param duty   who is on now and next at its site; empty without a rota
 * @param nobody where nobody will be; empty where somebody always is
 */
record CabinetView(Frame frame, String headline, String look, String name, String content, Optional<Drawing> drawing, String board, String boardLook,
        List<Fact> facts, List<Fact> stored, List<Fact> warmth, List<String> access, Optional<Phone> electrician, List<Report> reports, Optional<Plotted> plot, List<SpanView> spans,
        List<Due> alarms, List<Due> work, String duty, String nobody, List<Edit> edits, String zone, String zoneName) {

    record Fact(String name, String value) {
    }

    /** {@code look} is {@code unknown} where it makes the rest doubtful. */
    record Report(String name, String value, String look) {
    }

    record SpanView(String look, String what, String text) {
    }

    /** {@code href} is empty where there is no page for it. */
    record Due(String text, String href, String look) {
    }

    record Edit(String text, String href) {
    }
}
