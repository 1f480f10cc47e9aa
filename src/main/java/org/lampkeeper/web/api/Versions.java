package org.lampkeeper.web.api;

import java.util.List;
import java.util.Map;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

import jakarta.ws.rs.core.HttpHeaders;

import org.lampkeeper.register.Sha256;
import org.lampkeeper.web.ProblemType;
import org.lampkeeper.web.Refused;

/** Entity tags and the conditions of a request (RFC 9110, sections 8.8.3 and 13.1). */
final class Versions {

    // A weak tag is found too, and then never matches strongly.
    private static final Pattern TAG = Pattern.compile("(W/)?\"([^\"]*)\"");

    // Ours: 96 bits; two answers with the same tag do not come up.
    private static final int TAG_DIGITS = 24;

    private Versions() {
    }

    /** The tag of a version of something that is registered. */
    static String tag(long version) {
        return "\"" + version + "\"";
    }

    /** The tag of an answer that has no version of its own: another answer, another tag. */
    static String tagOf(String answer) {
        return "\"" + Sha256.hex(answer).substring(0, TAG_DIGITS) + "\"";
    }

    /** Whether the reader has this very answer already; compared weakly, as RFC 9110, section 13.1.2 says. */
    static boolean isKnown(HttpHeaders headers, String tag) {
        List<String> known = headers.getRequestHeader(HttpHeaders.IF_NONE_MATCH);
        if (known.isEmpty()) {
            return false;
        }
        String all = String.join(",", known);
        return all.strip().equals("*") || TAG.matcher(all).results().anyMatch(match -> ("\"" + match.group(2) + "\"").equals(tag));
    }

    /** Lets pass only who has seen the version that is stored now, or says that any is meant. */
    static void mustMatch(HttpHeaders headers, String tag) {
        List<String> meant = headers.getRequestHeader(HttpHeaders.IF_MATCH);
        if (meant.isEmpty()) {
            throw new Refused(ProblemType.VERSION_MISSING, "Send If-Match with the ETag that you were answered when you read it.",
                    Map.of(HttpHeaders.ETAG, tag));
        }
        String all = String.join(",", meant);
        Matcher tags = TAG.matcher(all);
        boolean matches = all.strip().equals("*") || tags.results().anyMatch(match -> match.group(1) == null && ("\"" + match.group(2)
                + "\"").equals(tag));
        if (!matches) {
            throw stale(tag);
        }
    }

    static Refused stale(String tag) {
        return new Refused(ProblemType.CHANGED_MEANWHILE, "It is at version " + tag
                + " now. Read it again, and decide anew what is to be changed.",
                Map.of(HttpHeaders.ETAG, tag));
    }
}
