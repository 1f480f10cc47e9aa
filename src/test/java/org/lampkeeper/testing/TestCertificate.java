package org.lampkeeper.testing;

import java.io.IOException;
import java.io.InputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.GeneralSecurityException;
import java.security.KeyStore;

import javax.net.ssl.KeyManagerFactory;
import javax.net.ssl.SSLContext;

/** A certificate that has signed itself, with its key, made by the JDK's own keytool. Trusted by whoever trusts this very one. */
public record TestCertificate(Path store) {

    public static final String PASSWORD = "for tests only";

    /** @param names such as {@code dns:localhost,ip:127.0.0.1} */
    public static TestCertificate make(Path directory, String file, String names) throws IOException, InterruptedException {
        Path store = directory.resolve(file + ".p12");
        Process keytool = new ProcessBuilder(Path.of(System.getProperty("java.home"), "bin", "keytool").toString(), "-genkeypair", "-alias", file,
                "-keyalg", "EC", "-dname", "CN=" + file, "-ext", "SAN=" + names, "-validity", "2", "-storetype", "PKCS12", "-keystore",
                store.toString(), "-storepass", PASSWORD).inheritIO().start();
        if (keytool.waitFor() != 0) {
            throw new IllegalStateException("keytool made no certificate");
        }
        return new TestCertificate(store);
    }

    /** For a server that shows it. */
    public SSLContext context() throws GeneralSecurityException, IOException {
        KeyStore keys = KeyStore.getInstance("PKCS12");
        try (InputStream in = Files.newInputStream(store)) {
            keys.load(in, PASSWORD.toCharArray());
        }
        KeyManagerFactory managers = KeyManagerFactory.getInstance(KeyManagerFactory.getDefaultAlgorithm());
        managers.init(keys, PASSWORD.toCharArray());
        SSLContext context = SSLContext.getInstance("TLS");
        context.init(managers.getKeyManagers(), null, null);
        return context;
    }
}
