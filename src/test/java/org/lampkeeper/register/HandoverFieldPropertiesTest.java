package org.lampkeeper.register;

import net.jqwik.api.ForAll;
import net.jqwik.api.Property;

import static org.assertj.core.api.Assertions.assertThat;

class HandoverFieldPropertiesTest {

    @Property
    void nothingThatIsTypedBreaksAField(@ForAll HandoverField field, @ForAll String typed) {
        HandoverField.Read read = field.read(typed);

        assertThat(read.value().isPresent() && read.problem().isPresent()).isFalse();
        assertThat(read.value().isEmpty() && read.problem().isEmpty()).isEqualTo(typed.isBlank() || typed.strip().isEmpty());
    }
}
