package org.lampkeeper.web;

import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.stream.Stream;

import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.register.NewWarmth;
import org.lampkeeper.register.WarmthSheet;
import org.lampkeeper.web.Input.Choice;

/** The fields of how a cabinet keeps warm. */
final class WarmthFields {

    private WarmthFields() {
    }

    /** How people are told while it is warm: the owner's to choose, and what works only with supply is never told of more slowly. */
    enum Pace {
        AS_LISTED("as the call-out list says, always"),
        SLOWER("more slowly while a forecast says that there is time: its owner has chosen so"),
        NEEDS_SUPPLY("as the list says, always: it does not work without supply, such as a telephone");

        private final String words;

        Pace(String words) {
            this.words = words;
        }

        static Pace of(NewWarmth said) {
            return said.needsSupply() ? NEEDS_SUPPLY : said.slowerWhenWarm() ? SLOWER : AS_LISTED;
        }
    }

    static Form add(Form form) {
        List<Choice> paces = Stream.of(Pace.values()).map(each -> new Choice(each.name(), each.words)).toList();
        return form.add(Input.temperature("setPoint", "Set point of the heater").orNot().hint("Below it the heater is on. Empty for no heater, or not known."))
                .add(Input.decimal("heaterWatt", "Rating of the heater", "W").orNot().hint("As it is printed on the heater."))
                .add(Input.decimal("wattPerKelvin", "Heat loss of all walls (U·A)", "W/K").orNot()
                        .hint("Surface in m² times U: 5.9 for bare steel, 2.3 with 10 mm of foam, 1.0 with 20 mm of PU (EN ISO 6946). Or from its maker."))
                .add(Input.decimal("joulePerKelvin", "Heat capacity of walls and content", "J/K").orNot()
                        .hint("Mass in kg times 490 for steel, times 1,200 for plastics and electronics, added up. From memory: better from its maker."))
                .add(Input.temperature("coldest", "Coldest that the place reckons with in winter").orNot().hint("From the weather service of the place."))
                .add(Input.choice("pace", "When the supply is lost, people are told", paces));
    }

    static NewWarmth read(Form form) {
        Optional<Pace> pace = form.choice("pace", Pace.class);
        return new NewWarmth(form.decimal("setPoint").map(Celsius::new), form.decimal("heaterWatt"), form.decimal("wattPerKelvin"),
                form.decimal("joulePerKelvin"), form.decimal("coldest").map(Celsius::new), pace.filter(Pace.NEEDS_SUPPLY::equals).isPresent(),
                pace.filter(Pace.SLOWER::equals).isPresent());
    }

    static Map<String, String> stored(WarmthSheet warmth) {
        NewWarmth said = warmth.said();
        Map<String, String> stored = new HashMap<>(Map.of("pace", Pace.of(said).name()));
        stored.put("setPoint", said.setPoint().map(it -> Form.number(it.value())).orElse(""));
        stored.put("heaterWatt", said.heaterWatt().map(Form::number).orElse(""));
        stored.put("wattPerKelvin", said.wattPerKelvin().map(Form::number).orElse(""));
        stored.put("joulePerKelvin", said.joulePerKelvin().map(Form::number).orElse(""));
        stored.put("coldest", said.coldest().map(it -> Form.number(it.value())).orElse(""));
        return stored;
    }
}
