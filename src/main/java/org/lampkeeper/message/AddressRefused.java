package org.lampkeeper.message;

/** What somebody entered is no address of the channel; the message says what would be right, without the address. */
public final class AddressRefused extends RuntimeException {

    private static final long serialVersionUID = 1;

    public AddressRefused(String must) {
        super(must);
    }
}
