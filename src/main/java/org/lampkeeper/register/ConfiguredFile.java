package org.lampkeeper.register;

import java.io.IOException;
import java.io.InputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Optional;

/**
 * A file that whoever runs the service may change: the one that a setting names, else the one in {@code config/} of the working directory,
 * else the one that came with the program.
 *
 * @param name    of the file, the same in all three places
 * @param setting that names another; empty where there is none
 * @param path    empty: the one that came with the program
 */
public record ConfiguredFile(String name, String setting, Optional<Path> path) {

    /** What makes something of the content. Messages begin with {@code place}, which says where the content stood. */
    public interface Reader<T> {
        T read(String place, InputStream content) throws IOException;
    }

    /** @param chosen by {@code setting} */
    public static ConfiguredFile of(String name, String setting, Optional<Path> chosen) {
        return new ConfiguredFile(name, setting, chosen.or(() -> Optional.of(Path.of("config", name)).filter(Files::isReadable)));
    }

    /** The one that came with the program. */
    public static ConfiguredFile own(String name) {
        return new ConfiguredFile(name, "", Optional.empty());
    }

    /** @throws IllegalStateException where there is no such file, or it cannot be read */
    public <T> T read(Reader<T> reader) {
        String place = path.map(file -> file.toAbsolutePath().toString()).orElse(name + " of the program");
        try (InputStream content = path.isPresent() ? Files.newInputStream(path.get()) : ConfiguredFile.class.getResourceAsStream("/" + name)) {
            if (content == null) {
                throw new IllegalStateException(name + " is missing from the program");
            }
            return reader.read(place, content);
        } catch (IOException e) {
            throw new IllegalStateException(place + " cannot be read" + (setting.isEmpty() ? "" : " (" + setting + ")") + ": " + e.getMessage(), e);
        }
    }
}
