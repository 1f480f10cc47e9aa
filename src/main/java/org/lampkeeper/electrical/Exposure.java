package org.lampkeeper.electrical;

/** What water gets at an enclosure, and what its code must at least say for that. Dust and tools: IP3X (harbour installations). */
public enum Exposure {
    /** Rain, and what splashes from the ground. */
    SPLASH("IP34"),
    /** Driven spray, and whoever hoses the quay down. */
    JETS("IP35"),
    /** Waves that break over the place. */
    WAVES("IP36");

    // Source of all three: trade press on marinas and similar locations (splash IPX4, jets IPX5, waves IPX6, IP3X or better), a secondary copy.
    private final String least;

    Exposure(String least) {
        this.least = least;
    }

    public String least() {
        return least;
    }

    IpCode need() {
        return IpCode.of(least).orElseThrow();
    }
}
