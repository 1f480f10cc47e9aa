package org.lampkeeper.access;

import java.util.ArrayList;
import java.util.List;
import java.util.OptionalLong;
import java.util.Set;

import net.jqwik.api.Arbitraries;
import net.jqwik.api.Arbitrary;
import net.jqwik.api.Combinators;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.Provide;

import static org.assertj.core.api.Assertions.assertThat;

/** However roles are given and narrowed, nobody may more than before. */
class ReachPropertiesTest {

    private static final List<Long> SITES = List.of(1L, 2L, 3L);

    @Property
    void narrowedReachMayNothingThatTheWholeMayNot(@ForAll("grants") List<Grant> grants, @ForAll("sites") Set<Long> sites,
            @ForAll Set<Right> rights) {
        Reach whole = Reach.of(grants);
        Reach atSites = whole.only(sites, rights);
        Reach anywhere = whole.only(rights);

        for (Right right : Right.values()) {
            for (long site : SITES) {
                assertThat(atSites.may(right, site)).isEqualTo(whole.may(right, site) && sites.contains(site) && rights.contains(right));
                assertThat(anywhere.may(right, site)).isEqualTo(whole.may(right, site) && rights.contains(right));
            }
            assertThat(atSites.mayEverywhere(right)).isFalse();
            assertThat(anywhere.mayEverywhere(right)).isEqualTo(whole.mayEverywhere(right) && rights.contains(right));
        }
    }

    @Property
    void oneMoreRoleTakesNothingAway(@ForAll("grants") List<Grant> grants, @ForAll("grant") Grant more) {
        Reach before = Reach.of(grants);
        List<Grant> all = new ArrayList<>(grants);
        all.add(more);
        Reach after = Reach.of(all);

        for (Right right : Right.values()) {
            for (long site : SITES) {
                assertThat(after.may(right, site)).isEqualTo(before.may(right, site)
                        || more.role().rights().contains(right) && (more.siteId().isEmpty() || more.siteId().getAsLong() == site));
            }
        }
    }

    @Property
    void whatIsCoveredAddsNothing(@ForAll("grants") List<Grant> grants, @ForAll("grant") Grant given) {
        Reach own = Reach.of(grants);
        if (own.covers(given)) {
            Reach received = Reach.of(List.of(given));

            for (Right right : Right.values()) {
                assertThat(SITES).allMatch(site -> !received.may(right, site) || own.may(right, site));
                assertThat(!received.mayEverywhere(right) || own.mayEverywhere(right)).isTrue();
            }
        }
    }

    @Property
    void listOfSitesSaysTheSameAsEachQuestion(@ForAll("grants") List<Grant> grants, @ForAll Right right) {
        Reach reach = Reach.of(grants);

        assertThat(reach.sitesWith(right).isEmpty()).isEqualTo(reach.mayEverywhere(right));
        reach.sitesWith(right).ifPresent(sites -> assertThat(SITES).allMatch(site -> sites.contains(site) == reach.may(right, site)));
        assertThat(reach.maySomewhere(right)).isEqualTo(reach.mayEverywhere(right) || SITES.stream().anyMatch(site -> reach.may(right, site)));
    }

    @Provide
    Arbitrary<List<Grant>> grants() {
        return grant().list().ofMaxSize(5);
    }

    @Provide
    Arbitrary<Grant> grant() {
        Arbitrary<OptionalLong> where = Arbitraries.of(OptionalLong.empty(), OptionalLong.of(1), OptionalLong.of(2), OptionalLong.of(3));
        return Combinators.combine(Arbitraries.of(Role.class), where).as(Grant::new);
    }

    @Provide
    Arbitrary<Set<Long>> sites() {
        return Arbitraries.of(SITES).set();
    }
}
