package org.lampkeeper.alarm;

import java.util.ArrayList;
import java.util.List;

/**
 * Cabinets of another site that have no supply either and share its origin. Their alarms are for the people of that site; that they are
 * lost too says where to look.
 *
 * @param onBoard  how many of them hang on a board that is told of
 * @param onIntake how many more hang on the same intake, by other boards
 */
public record LostElsewhere(String site, int onBoard, int onIntake) {

    /** "At Gull Pier 3 cabinets on the same board have no supply either; the list of Gull Pier is told of them." */
    public String sentence() {
        List<String> shares = new ArrayList<>();
        if (onBoard > 0) {
            shares.add(cabinets(onBoard) + " on the same board");
        }
        if (onIntake > 0) {
            shares.add(cabinets(onIntake) + " on the same intake");
        }
        return "At " + site + " " + String.join(" and ", shares) + (onBoard + onIntake == 1 ? " has" : " have")
                + " no supply either; the list of " + site + " is told of " + (onBoard + onIntake == 1 ? "it." : "them.");
    }

    private static String cabinets(int count) {
        return count == 1 ? "one cabinet" : count + " cabinets";
    }
}
