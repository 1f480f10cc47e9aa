package org.lampkeeper.register;

import java.util.stream.IntStream;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

class SensorSecretsTest {

    // Written by: mosquitto_passwd -H sha512 -b file north-stair-1 0123456789abcdef0123456789abcdef (Mosquitto 2.0.11)
    private static final String OF_MOSQUITTO = "$6$09rf+bTdmiXi3CLF$1mvL8mEFxppzasBtDmK5rJBphhgHb6R8nmuOlYEUWnn/"
            + "3XvAEQd4ALyNB5ESOoF5QaJ1B1gi4n71iYmo+A9ucg==";

    @ParameterizedTest
    @CsvSource({
            "0123456789abcdef0123456789abcdef, true",
            "0123456789abcdef0123456789abcdee, false",
            "0123456789abcdef0123456789abcdef0, false",
            "'', false"})
    void hashMadeByMosquittoIsUnderstood(String secret, boolean right) {
        assertThat(SensorSecrets.verify(secret, OF_MOSQUITTO)).isEqualTo(right);
    }

    @Test
    void ownHashHasTheFormOfMosquittos() {
        String hash = SensorSecrets.hash("0123456789abcdef0123456789abcdef");

        assertThat(hash).matches("\\$6\\$[A-Za-z0-9+/]{16}\\$[A-Za-z0-9+/]{86}==").hasSameSizeAs(OF_MOSQUITTO);
        assertThat(SensorSecrets.verify("0123456789abcdef0123456789abcdef", hash)).isTrue();
        assertThat(SensorSecrets.verify("0123456789abcdef0123456789abcde", hash)).isFalse();
    }

    @Test
    void sameSecretHasAnotherHashEachTime() {
        assertThat(SensorSecrets.hash("same")).isNotEqualTo(SensorSecrets.hash("same"));
    }

    @Test
    void secretsAre128BitsAndNeverTheSame() {
        assertThat(IntStream.range(0, 1000).mapToObj(each -> SensorSecrets.make())).doesNotHaveDuplicates()
                .allMatch(secret -> secret.matches("[0-9a-f]{32}"));
    }

    @Test
    void plainTextInPlaceOfAHashIsABugNotAWrongPassword() {
        assertThatThrownBy(() -> SensorSecrets.verify("secret", "secret")).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("$6$salt$hash");
    }
}
