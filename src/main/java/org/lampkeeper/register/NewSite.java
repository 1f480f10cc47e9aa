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
    public List<Problem> problems() {
        return new Problems()
                .text("name", "name", name, 120)
                .text("address", "address", address, 400)
                .must("zone", zone.getId().length() <= 64, "time zone has more than 64 characters, must be an IANA name")
                .text("access", "way in", access, 400)
                .text("intake", "place of the intake", intake, 200)
                .text("electrician.name", "name of the electrician", electrician.map(Electrician::name), 120)
                .text("electrician.phone", "phone number of the electrician", electrician.flatMap(Electrician::phone), 40)
                .list();
    }
}
