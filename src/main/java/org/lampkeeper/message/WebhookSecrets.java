package org.lampkeeper.message;

import java.nio.file.Path;
import java.util.HexFormat;
import java.util.Optional;

import jakarta.inject.Inject;
import jakarta.inject.Singleton;

/**
 * The secrets of endpoints. The database has only a random mark of each, which a key outside it turns into the secret: a dump of the
 * database signs nothing. The mark names the key, so that a newer key changes no secret that is in use.
 */
@Singleton
class WebhookSecrets {

    private final KeyFile keys;

    @Inject
    WebhookSecrets(WebhookConfig config) {
        this(KeyFile.at(Path.of(config.keys())));
    }

    WebhookSecrets(KeyFile keys) {
        this.keys = keys;
    }

    /** For a new secret; at most 40 characters, to be stored. */
    String newMark() {
        return keys.newest().id() + "." + HexFormat.of().formatHex(Outbox.key());
    }

    /** Empty when the key that it was made with has been removed from the file. */
    Optional<WebhookSecret> find(String mark) {
        int dot = mark.indexOf('.');
        return keys.find(Integer.parseInt(mark.substring(0, dot)))
                .map(key -> WebhookSecret.derived(key.secret(), HexFormat.of().parseHex(mark.substring(dot + 1))));
    }
}
