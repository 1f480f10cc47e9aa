package org.lampkeeper.register;

/** What this device logged in with is no longer right: it was retired, or got another secret. To be observed after the commit. */
public record LoginEnded(String deviceId) {
}
