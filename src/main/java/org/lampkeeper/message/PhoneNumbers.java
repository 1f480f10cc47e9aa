package org.lampkeeper.message;

import java.util.Optional;

import com.google.i18n.phonenumbers.NumberParseException;
import com.google.i18n.phonenumbers.PhoneNumberUtil;
import com.google.i18n.phonenumbers.PhoneNumberUtil.PhoneNumberFormat;
import com.google.i18n.phonenumbers.PhoneNumberUtil.ValidationResult;
import com.google.i18n.phonenumbers.Phonenumber.PhoneNumber;

/** Telephone numbers as people enter them, and as every channel that needs one stores them. */
final class PhoneNumbers {

    private PhoneNumbers() {
    }

    /**
     * E.164. Possible, not assigned: ranges change faster than any list of them, and the numbers reserved for fiction belong to nobody.
     *
     * @param country of a number entered without one
     * @throws AddressRefused with what would be right
     */
    static String e164(String entered, Optional<String> country) {
        PhoneNumberUtil numbers = PhoneNumberUtil.getInstance();
        try {
            PhoneNumber number = numbers.parse(entered, country.orElse(null));
            // "Possible" alone would take a number that is complete only within its town.
            if (numbers.isPossibleNumberWithReason(number) != ValidationResult.IS_POSSIBLE) {
                throw new AddressRefused("must have as many digits as a telephone number of its country, such as +44 7700 900123");
            }
            return numbers.format(number, PhoneNumberFormat.E164);
        } catch (NumberParseException unreadable) {
            throw new AddressRefused("must be a telephone number with its country, such as +44 7700 900123");
        }
    }
}
