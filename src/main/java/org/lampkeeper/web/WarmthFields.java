package org.lampkeeper.web;

import java.util.HashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.stream.Stream;

import org.lampkeeper.quantity.Celsius;
import org.lampkeeper.register.NewWarmth;
import org.lampkeeper.register.WarmthSheet;
import org.lampkeeper.thermal.ContentBody;
import org.lampkeeper.thermal.Enclosure;
import org.lampkeeper.thermal.Enclosure.Layer;
import org.lampkeeper.thermal.Material;
import org.lampkeeper.thermal.Substance;
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
                        .hint(String.format(Locale.ROOT, "Surface in m² times U: %.1f for bare steel, %.1f with 10 mm of PE foam, %.1f with 20 mm of PU, %.1f for a panel with 51 mm of XPS"
                                + " (EN ISO 6946, conductivities from memory). Or from its maker.", u(Layer.of(0.002, Material.STEEL)), u(Layer.of(0.010, Material.PE_FOAM)),
                                u(Layer.of(0.020, Material.PU_FOAM)), u(Layer.of(0.001, Material.ALUMINIUM), Layer.of(0.002, Material.STRAND_BOARD),
                                        Layer.of(0.051, Material.XPS), Layer.of(0.001, Material.ALUMINIUM)))))
                .add(Input.decimal("joulePerKelvin", "Heat capacity of walls and content", "J/K").orNot()
                        .hint(String.format(Locale.ROOT, "Mass in kg times %.0f for steel, times %,.0f for plastics and electronics, added up; the air, at %,.0f, hardly counts."
                                + " From memory: better from its maker.", Substance.STEEL.heat(), Substance.PLASTICS_AND_ELECTRONICS.heat(), Substance.AIR.heat())))
                .add(Input.temperature("coldest", "Coldest that the place reckons with in winter").orNot().hint("From the weather service of the place."))
                .add(Input.decimal("surfaceCoefficient", "Heat transfer at the surface of the content (h)", "W/m²K").orNot()
                        .hint(String.format(Locale.ROOT, "%.0f to %.0f in still air, up to %.0f where a fan blows on it (Çengel); in a closed cabinet about %.0f (EN ISO 6946)."
                                + " With the next two it says whether one temperature stands for all of the content.", ContentBody.FREE_LEAST, ContentBody.FREE_MOST,
                                ContentBody.FORCED_MOST, Enclosure.innerSurfaceCoefficient())))
                .add(Input.decimal("contentMillimetres", "Volume over surface of the content", "mm").orNot().hint("29 mm for a case of 300 by 250 by 100 mm."))
                .add(Input.decimal("contentConductivity", "Thermal conductivity of the content", "W/mK").orNot()
                        .hint(String.format(Locale.ROOT, "%.1f to %.1f for plastic with glass fibre, %.0f to %.0f for stainless steel, %.0f for steel. From memory: better from its maker.",
                                Material.GRP.leastConductivity(), Material.GRP.mostConductivity(), Material.STAINLESS_STEEL.leastConductivity(),
                                Material.STAINLESS_STEEL.mostConductivity(), Material.STEEL.conductivity())))
                .add(Input.choice("pace", "When the supply is lost, people are told", paces));
    }

    private static double u(Layer... layers) {
        return Enclosure.ofLayers(List.of(layers));
    }

    static NewWarmth read(Form form) {
        Optional<Pace> pace = form.choice("pace", Pace.class);
        return new NewWarmth(form.decimal("setPoint").map(Celsius::new), form.decimal("heaterWatt"), form.decimal("wattPerKelvin"),
                form.decimal("joulePerKelvin"), form.decimal("coldest").map(Celsius::new), pace.filter(Pace.NEEDS_SUPPLY::equals).isPresent(),
                pace.filter(Pace.SLOWER::equals).isPresent(),
                new NewWarmth.Body(form.decimal("surfaceCoefficient"), form.decimal("contentMillimetres"), form.decimal("contentConductivity")));
    }

    static Map<String, String> stored(WarmthSheet warmth) {
        NewWarmth said = warmth.said();
        Map<String, String> stored = new HashMap<>(Map.of("pace", Pace.of(said).name()));
        stored.put("setPoint", said.setPoint().map(it -> Form.number(it.value())).orElse(""));
        stored.put("heaterWatt", said.heaterWatt().map(Form::number).orElse(""));
        stored.put("wattPerKelvin", said.wattPerKelvin().map(Form::number).orElse(""));
        stored.put("joulePerKelvin", said.joulePerKelvin().map(Form::number).orElse(""));
        stored.put("coldest", said.coldest().map(it -> Form.number(it.value())).orElse(""));
        stored.put("surfaceCoefficient", said.body().surfaceCoefficient().map(Form::number).orElse(""));
        stored.put("contentMillimetres", said.body().millimetres().map(Form::number).orElse(""));
        stored.put("contentConductivity", said.body().conductivity().map(Form::number).orElse(""));
        return stored;
    }
}
