package org.lampkeeper.register;

import java.util.HashSet;
import java.util.Set;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

import static org.assertj.core.api.Assertions.assertThat;

/** The code on the label of a sensor. */
class PairingCodeTest {

    /** 794: the example of ISO/IEC 7064 for MOD 97-10, from secondary copies. 0…98: by the definition, 98 less the remainder of 97. */
    @ParameterizedTest
    @CsvSource({"794,79444", "000000,00000098", "000001,00000195", "123456,12345676"})
    void checkDigitsAreThoseOfTheStandard(String digits, String whole) {
        assertThat(PairingCode.withCheckDigits(digits)).isEqualTo(whole);
        assertThat(PairingCode.isWhole(whole)).isTrue();
    }

    /** ISO 13616, the example for Great Britain, letters as numbers from 10 on and the first four at the end: the same check. */
    @Test
    void checkIsThatOfAnAccountNumber() {
        assertThat(PairingCode.isWhole("3214282912345698765432161182")).isTrue();
        assertThat(PairingCode.isWhole("3214282912345698765432161183")).isFalse();
    }

    /** Worked out apart from this program: the SHA-256 as a number, its last six digits, the check digits. */
    @ParameterizedTest
    @CsvSource({"north-stair-1,18829738", "north-stair-2,06122544", "0024befffe804ff1,80148967"})
    void codeFollowsFromTheDeviceId(String deviceId, String code) {
        assertThat(PairingCode.of(deviceId)).isEqualTo(code);
        assertThat(PairingCode.read(PairingCode.written(code))).contains(code);
    }

    @Test
    void oneWrongDigitAndTwoThatChangedPlacesAreNoticed() {
        for (int n = 0; n < 1_000_000; n += 7_919) {
            String code = PairingCode.withCheckDigits(String.format(java.util.Locale.ROOT, "%06d", n));
            Set<String> wrong = new HashSet<>();
            for (int at = 0; at < code.length(); at++) {
                for (char digit = '0'; digit <= '9'; digit++) {
                    wrong.add(code.substring(0, at) + digit + code.substring(at + 1));
                }
                for (int with = at + 1; with < code.length(); with++) {
                    StringBuilder changed = new StringBuilder(code);
                    changed.setCharAt(at, code.charAt(with));
                    changed.setCharAt(with, code.charAt(at));
                    wrong.add(changed.toString());
                }
            }
            wrong.remove(code);
            assertThat(wrong).as("%s", code).isNotEmpty().allMatch(it -> PairingCode.read(it).isEmpty());
        }
    }

    @ParameterizedTest
    @ValueSource(strings = {"188 297 38", " 18829738 ", "188-297-38", "188\u00a0297\u00a038"})
    void blanksAndHyphensDoNotMatter(String typed) {
        assertThat(PairingCode.read(typed)).contains("18829738");
    }

    @ParameterizedTest
    @ValueSource(strings = {"", "1882973", "188297380", "18829739", "1882973O", "١٨٨٢٩٧٣٨"})
    void whatIsNoCodeIsNone(String typed) {
        assertThat(PairingCode.read(typed)).isEmpty();
    }
}
