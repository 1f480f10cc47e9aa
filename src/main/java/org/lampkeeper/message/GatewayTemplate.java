package org.lampkeeper.message;

import java.io.IOException;
import java.io.StringReader;
import java.net.URI;
import java.net.URISyntaxException;
import java.net.URLEncoder;
import java.nio.charset.StandardCharsets;
import java.util.Arrays;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Collectors;

import javax.xml.XMLConstants;
import javax.xml.parsers.ParserConfigurationException;
import javax.xml.parsers.SAXParserFactory;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.core.io.JsonStringEncoder;
import com.fasterxml.jackson.databind.DeserializationFeature;
import com.fasterxml.jackson.databind.ObjectMapper;
import org.xml.sax.InputSource;
import org.xml.sax.SAXException;
import org.xml.sax.SAXParseException;
import org.xml.sax.helpers.DefaultHandler;

/**
 * A text of the operator's with places, such as <code>{number}</code>, for what differs from message to message. Each value is escaped by
 * the form of the text, so that it stays one value whatever stands in it. Pure; checked when it is made, never when it is filled.
 */
final class GatewayTemplate {

    private static final Pattern PLACE = Pattern.compile("\\{([A-Za-z]+)}");
    private static final ObjectMapper JSON = new ObjectMapper().enable(DeserializationFeature.FAIL_ON_TRAILING_TOKENS);

    /** What may be filled in. */
    enum Place {
        /** E.164, with its plus sign. */
        NUMBER,
        /** The same without it. */
        DIGITS,
        /** One line to read. */
        TEXT,
        /** Sentences to hear. */
        SPOKEN,
        /** Of the message; a repeat of it has the same. */
        ID,
        /** Where the provider tells what became of it, and what was answered. */
        CALLBACK,
        /** Why nothing came of an answer. */
        WHY;

        private final String word = "{" + name().toLowerCase(Locale.ROOT) + "}";
    }

    /** How values are escaped, and what a text must be once it is filled. */
    enum Form {
        /** RFC 8259: within the quotes of a string. */
        JSON("\\\"", ""),
        /** application/x-www-form-urlencoded: as a value. */
        FORM("%22", ""),
        /** XML 1.0: within an element, or within the quotes of an attribute. */
        XML("&lt;", "; charset=UTF-8"),
        /** RFC 3986: after the host, as one segment or one value. */
        ADDRESS("%22", ""),
        /** Plain text; a control character becomes a space. */
        PLAIN("x", "; charset=UTF-8");

        /** A character that must be escaped, as it is escaped: where a place is not one that the form allows, reading the whole fails. */
        private final String probe;
        private final String charset;

        Form(String probe, String charset) {
            this.probe = probe;
            this.charset = charset;
        }

        String escaped(String value) {
            return switch (this) {
                case JSON -> String.valueOf(JsonStringEncoder.getInstance().quoteAsString(value));
                // A space as %20 is read alike in a form, in a path and in a query; a plus sign is not.
                case FORM, ADDRESS -> URLEncoder.encode(value, StandardCharsets.UTF_8).replace("+", "%20");
                case XML -> xml(value);
                case PLAIN -> value.replaceAll("[\\p{Cntrl}&&[^\n]]", " ");
            };
        }

        private static String xml(String value) {
            StringBuilder escaped = new StringBuilder();
            value.codePoints().filter(Form::isXml).forEach(each -> {
                if ("&<>\"'\n\r\t".indexOf(each) >= 0) {
                    escaped.append("&#").append(each).append(';');
                } else {
                    escaped.appendCodePoint(each);
                }
            });
            return escaped.toString();
        }

        /** XML 1.0, production 2: not even a reference may stand for any other. */
        private static boolean isXml(int each) {
            return each == 0x9 || each == 0xA || each == 0xD || each >= 0x20 && each <= 0xD7FF || each >= 0xE000 && each <= 0xFFFD || each >= 0x10000;
        }
    }

    /**
     * The form that a content type asks for, among those that may be.
     *
     * @throws IllegalStateException naming the setting and what would be right
     */
    static Form form(String setting, String contentType, Set<Form> allowed) {
        String type = contentType.split(";", 2)[0].strip().toLowerCase(Locale.ROOT);
        Optional<Form> form = type.equals("application/json") || type.endsWith("+json") ? Optional.of(Form.JSON)
                : type.equals("application/xml") || type.equals("text/xml") || type.endsWith("+xml") ? Optional.of(Form.XML)
                : type.equals("application/x-www-form-urlencoded") ? Optional.of(Form.FORM)
                : type.equals("text/plain") ? Optional.of(Form.PLAIN) : Optional.empty();
        return form.filter(allowed::contains).orElseThrow(() -> new IllegalStateException(setting + " is " + contentType + ", must be one of "
                + allowed.stream().map(GatewayTemplate::type).sorted().collect(Collectors.joining(", "))));
    }

    private static String type(Form form) {
        return switch (form) {
            case JSON -> "application/json";
            case FORM -> "application/x-www-form-urlencoded";
            case XML -> "application/xml";
            case ADDRESS, PLAIN -> "text/plain";
        };
    }

    /** The content type as it is sent: with its encoding, where it would be guessed otherwise. */
    static String withCharset(String contentType, Form form) {
        return contentType.contains(";") ? contentType : contentType + form.charset;
    }

    private final String setting;
    private final Form form;
    private final String text;

    /**
     * @param setting its name, for whoever has to correct it
     * @throws IllegalStateException naming the setting, the place in it, and what would be right
     */
    GatewayTemplate(String setting, Form form, String text, Set<Place> allowed) {
        this.setting = setting;
        this.form = form;
        this.text = text.strip();
        Matcher place = PLACE.matcher(this.text);
        while (place.find()) {
            if (allowed.stream().noneMatch(it -> it.word.equals(place.group()))) {
                throw wrong(place.start() + 1, place.group() + " is nothing that can be filled in here, must be one of "
                        + Arrays.stream(Place.values()).filter(allowed::contains).map(it -> it.word).collect(Collectors.joining(", ")));
            }
        }
        check();
    }

    boolean has(Place place) {
        return text.contains(place.word);
    }

    /** @param values of all the places that it has */
    String filled(Map<Place, String> values) {
        return PLACE.matcher(text).replaceAll(found -> Matcher.quoteReplacement(
                form.escaped(values.get(Place.valueOf(found.group(1).toUpperCase(Locale.ROOT))))));
    }

    private void check() {
        // As long as the place itself, so that what a parser says of a position is true of the text as it was written.
        String probed = PLACE.matcher(text).replaceAll(found -> Matcher.quoteReplacement(
                form.probe + "a".repeat(found.group().length() - form.probe.length())));
        switch (form) {
            case JSON -> checkJson(probed);
            case FORM -> checkForm(probed);
            case XML -> checkXml(probed);
            case ADDRESS -> checkAddress(probed);
            case PLAIN -> { }
        }
    }

    private void checkJson(String probed) {
        try {
            if (JSON.readTree(probed).isMissingNode()) {
                throw wrong(1, "it is empty, must be JSON");
            }
        } catch (JsonProcessingException unreadable) {
            throw wrong(unreadable.getLocation().getLineNr(), unreadable.getLocation().getColumnNr(), "must be JSON, with what is filled in between"
                    + " quotes: " + unreadable.getOriginalMessage());
        }
    }

    private void checkForm(String probed) {
        Matcher fields = Pattern.compile("(?:[A-Za-z0-9*._&=+-]|%[0-9A-Fa-f]{2})*").matcher(probed);
        fields.lookingAt();
        if (fields.end() < probed.length()) {
            throw wrong(fields.end() + 1, "must look like to={number}&text={text}, with every other character as % and two hexadecimal digits");
        }
    }

    private void checkXml(String probed) {
        Matcher hidden = Pattern.compile("<!|(?<!^)<\\?").matcher(probed);
        if (hidden.find()) {
            throw wrong(hidden.start() + 1, "must be XML without a comment, a CDATA section, a document type or an instruction");
        }
        try {
            SAXParserFactory factory = SAXParserFactory.newInstance();
            factory.setFeature(XMLConstants.FEATURE_SECURE_PROCESSING, true);
            factory.newSAXParser().parse(new InputSource(new StringReader(probed)), new DefaultHandler());
        } catch (SAXParseException unreadable) {
            throw wrong(unreadable.getLineNumber(), unreadable.getColumnNumber(), "must be XML, with what is filled in within an element or between"
                    + " the quotes of an attribute: " + unreadable.getMessage());
        } catch (SAXException | ParserConfigurationException | IOException impossible) {
            throw new IllegalStateException("every Java platform must read XML", impossible);
        }
    }

    private void checkAddress(String probed) {
        Matcher host = Pattern.compile("(?i)https?://[^/?#@{}]+").matcher(text);
        if (!host.lookingAt() || text.startsWith("{", host.end()) || text.startsWith("@", host.end())) {
            throw wrong(1, "must begin with http:// or https:// and a host, without a name, a password or anything to fill in before its end");
        }
        try {
            if (new URI(probed).getHost() == null) {
                throw wrong(1, "must begin with http:// or https:// and a host");
            }
        } catch (URISyntaxException unreadable) {
            throw wrong(unreadable.getIndex() + 1, "must be an address: " + unreadable.getReason());
        }
    }

    private IllegalStateException wrong(int character, String why) {
        return new IllegalStateException(setting + ", character " + character + ": " + why);
    }

    private IllegalStateException wrong(int line, int column, String why) {
        return line == 1 ? wrong(column, why) : new IllegalStateException(setting + ", line " + line + ", character " + column + ": " + why);
    }
}
