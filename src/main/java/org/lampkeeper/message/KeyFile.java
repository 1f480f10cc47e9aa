package org.lampkeeper.message;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.ByteBuffer;
import java.nio.channels.SeekableByteChannel;
import java.nio.charset.StandardCharsets;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.nio.file.attribute.FileAttribute;
import java.nio.file.attribute.FileTime;
import java.nio.file.attribute.PosixFilePermission;
import java.nio.file.attribute.PosixFilePermissions;
import java.security.SecureRandom;
import java.util.Base64;
import java.util.EnumSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.SortedMap;
import java.util.TreeMap;
import java.util.UUID;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.core.type.TypeReference;
import com.fasterxml.jackson.databind.ObjectMapper;
import org.jboss.logging.Logger;

/**
 * Keys, in a file outside the database and shared by all instances: an object of key ids, each with 32 random bytes in
 * Base64. The highest id is the newest. A key added to the file is used without a restart.
 */
final class KeyFile {

    private static final Logger LOG = Logger.getLogger(KeyFile.class);
    /** RFC 2104, section 3: a key shorter than the hash's output weakens it. */
    private static final int SECRET_BYTES = 32;
    private static final int HIGHEST_ID = 65_535;
    private static final ObjectMapper JSON = new ObjectMapper();
    private static final Set<PosixFilePermission> OTHERS = EnumSet.of(PosixFilePermission.GROUP_READ, PosixFilePermission.GROUP_WRITE,
            PosixFilePermission.OTHERS_READ, PosixFilePermission.OTHERS_WRITE);

    private final Path file;
    private FileTime readAs;
    private SortedMap<Integer, Key> keys;

    private KeyFile(Path file) {
        this.file = file;
        this.readAs = modified();
        this.keys = load();
    }

    /** @param id 1 to 65,535 */
    record Key(int id, byte[] secret) {
        @Override
        public String toString() {
            return "key " + id;
        }
    }

    /** Reads the file; makes it, with a first key and for the owner only, when there is none. */
    static KeyFile at(Path file) {
        if (Files.notExists(file)) {
            make(file);
        }
        warnIfOthersMayRead(file);
        return new KeyFile(file);
    }

    synchronized Key newest() {
        readAgainIfChanged();
        return keys.get(keys.lastKey());
    }

    synchronized Optional<Key> find(int id) {
        readAgainIfChanged();
        return Optional.ofNullable(keys.get(id));
    }

    /** One look at the file's time costs microseconds, and a key added on one instance counts at once on all. */
    private void readAgainIfChanged() {
        FileTime now = modified();
        if (!now.equals(readAs)) {
            try {
                keys = load();
                LOG.infof("keys %s were read again: %d keys, the newest is %d", file, keys.size(), keys.lastKey());
            } catch (IllegalStateException halfWritten) {
                LOG.errorf("%s; the keys read before stay in use", halfWritten.getMessage());
            }
            readAs = now;
        }
    }

    private FileTime modified() {
        try {
            return Files.getLastModifiedTime(file);
        } catch (IOException gone) {
            throw new UncheckedIOException("keys " + file + " cannot be read", gone);
        }
    }

    private SortedMap<Integer, Key> load() {
        SortedMap<Integer, Key> loaded = new TreeMap<>();
        try {
            JSON.readValue(Files.readString(file), new TypeReference<TreeMap<String, String>>() {
            }).forEach((id, secret) -> loaded.put(id(id), new Key(id(id), secret(id, secret))));
        } catch (JsonProcessingException unreadable) {
            throw new IllegalStateException(wrong("line " + unreadable.getLocation().getLineNr() + " is not JSON"));
        } catch (IOException failed) {
            throw new UncheckedIOException("keys " + file + " cannot be read", failed);
        }
        if (loaded.isEmpty()) {
            throw new IllegalStateException(wrong("there is no key in it"));
        }
        return loaded;
    }

    private int id(String text) {
        if (!text.matches("[1-9][0-9]{0,4}") || Integer.parseInt(text) > HIGHEST_ID) {
            throw new IllegalStateException(wrong("key id '" + text + "' is not 1 to " + HIGHEST_ID));
        }
        return Integer.parseInt(text);
    }

    private byte[] secret(String id, String text) {
        try {
            byte[] secret = Base64.getDecoder().decode(text);
            if (secret.length < SECRET_BYTES) {
                throw new IllegalStateException(wrong("key " + id + " has " + secret.length + " bytes, must have at least " + SECRET_BYTES));
            }
            return secret;
        } catch (IllegalArgumentException notBase64) {
            throw new IllegalStateException(wrong("key " + id + " is not Base64"));
        }
    }

    private String wrong(String what) {
        return "keys " + file + ": " + what + "; the file must look like {\"1\": \"(" + SECRET_BYTES + " random bytes in Base64)\"}";
    }

    /** Written beside and then linked: of two instances that start together, both go on with the keys of the first. */
    private static void make(Path file) {
        byte[] secret = new byte[SECRET_BYTES];
        new SecureRandom().nextBytes(secret);
        Path folder = Optional.ofNullable(file.toAbsolutePath().getParent()).orElseThrow();
        try {
            String text = JSON.writerWithDefaultPrettyPrinter()
                    .writeValueAsString(new TreeMap<>(Map.of("1", Base64.getEncoder().encodeToString(secret)))) + "\n";
            boolean posix = file.getFileSystem().supportedFileAttributeViews().contains("posix");
            Files.createDirectories(folder, ownerOnly(posix, "rwx------"));
            Path draft = folder.resolve("." + file.getFileName() + "." + UUID.randomUUID());
            try (SeekableByteChannel out = Files.newByteChannel(draft, Set.of(StandardOpenOption.CREATE_NEW, StandardOpenOption.WRITE,
                    StandardOpenOption.SYNC), ownerOnly(posix, "rw-------"))) {
                out.write(ByteBuffer.wrap(text.getBytes(StandardCharsets.US_ASCII)));
            }
            linkTo(file, draft);
        } catch (IOException failed) {
            throw new UncheckedIOException("keys " + file + " cannot be made", failed);
        }
    }

    private static void linkTo(Path file, Path draft) throws IOException {
        try {
            Files.createLink(file, draft);
            LOG.infof("keys were made: %s", file);
        } catch (FileAlreadyExistsException anotherInstanceWasFirst) {
            LOG.debugf("keys were made by another instance: %s", file);
        } finally {
            Files.deleteIfExists(draft);
        }
    }

    private static FileAttribute<?>[] ownerOnly(boolean posix, String permissions) {
        return posix ? new FileAttribute<?>[] {PosixFilePermissions.asFileAttribute(PosixFilePermissions.fromString(permissions))}
                : new FileAttribute<?>[0];
    }

    private static void warnIfOthersMayRead(Path file) {
        if (file.getFileSystem().supportedFileAttributeViews().contains("posix")) {
            try {
                Set<PosixFilePermission> open = EnumSet.copyOf(OTHERS);
                open.retainAll(Files.getPosixFilePermissions(file));
                if (!open.isEmpty()) {
                    LOG.warnf("keys %s may be read or written by others (%s): chmod 600, then add a new key", file, List.copyOf(open));
                }
            } catch (IOException failed) {
                throw new UncheckedIOException("permissions of " + file + " cannot be read", failed);
            }
        }
    }
}
