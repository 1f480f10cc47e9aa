package org.lampkeeper.register;

import java.time.LocalDate;
import java.util.Optional;

/**
 * One value of a hand-over record that can be read.
 *
 * @param text   as typed, without the blanks around it; of a choice the stored word
 * @param number where it is a figure, in the unit of its field
 * @param orMore ">" stood before it: the figure is a lower bound
 */
public record HandoverValue(String text, Optional<Double> number, boolean orMore, Optional<LocalDate> day) {

    static HandoverValue text(String text) {
        return new HandoverValue(text, Optional.empty(), false, Optional.empty());
    }
}
