package org.lampkeeper.register;

import java.time.ZoneId;
import java.util.List;
import java.util.Optional;

/**
 * A site as entered.
 *
 * @param access how to get in: gate code, key safe
 * @param intake where the supply of the whole site comes in
 */
public record NewSite(String name, String address, ZoneId zone, String access, String intake, Optional<Electrician> electrician) {

    /** Empty when it can be registered. */
    public List<String> problems() {
        return new Problems("site " + name)
                .text("name", name, 120)
                .text("address", address, 400)
                .must(zone.getId().length() <= 64, "time zone has more than 64 characters, must be an IANA name")
                .text("access", access, 400)
                .text("place of the intake", intake, 200)
                .text("name of the electrician", electrician.map(Electrician::name), 120)
                .text("phone number of the electrician", electrician.flatMap(Electrician::phone), 40)
                .list();
    }
}
