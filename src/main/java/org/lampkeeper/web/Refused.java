package org.lampkeeper.web;

import java.util.List;
import java.util.Map;

/** A request that is answered with a problem. Not for infrastructure that fails: that flies on and becomes {@link ProblemType#FAILED}. */
public final class Refused extends RuntimeException {

    private static final long serialVersionUID = 1L;

    private final ProblemType type;
    private final transient List<FieldError> errors;
    private final transient Map<String, String> headers;

    /**
     * One thing that is wrong in the body.
     *
     * @param pointer JSON pointer as a URI fragment (RFC 6901, section 6): {@code #/circuit/ratingAmpere}
     */
    public record FieldError(String pointer, String detail) {
    }

    /** {@code detail}: what is wrong here and what would be right. */
    public Refused(ProblemType type, String detail) {
        this(type, detail, List.of(), Map.of());
    }

    public Refused(ProblemType type, String detail, List<FieldError> errors) {
        this(type, detail, errors, Map.of());
    }

    /** {@code headers}: what the answer carries beside the problem, for example {@code Retry-After}. */
    public Refused(ProblemType type, String detail, Map<String, String> headers) {
        this(type, detail, List.of(), headers);
    }

    private Refused(ProblemType type, String detail, List<FieldError> errors, Map<String, String> headers) {
        super(detail);
        this.type = type;
        this.errors = List.copyOf(errors);
        this.headers = Map.copyOf(headers);
    }

    public ProblemType type() {
        return type;
    }

    public String detail() {
        return getMessage();
    }

    public List<FieldError> errors() {
        return errors;
    }

    public Map<String, String> headers() {
        return headers;
    }
}
