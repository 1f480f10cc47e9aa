package org.lampkeeper.demo;

import java.nio.file.Path;

import io.smallrye.config.ConfigMapping;
import io.smallrye.config.WithDefault;
import io.smallrye.config.WithParentName;

/** Whether and with what the demo runs. */
@ConfigMapping(prefix = "lampkeeper.demo")
public interface DemoConfig {

    /** With {@code true} an empty database is filled with the demo's sites, cabinets, sensors and people at start. */
    @WithParentName
    @WithDefault("false")
    boolean enabled();

    /** What an empty database is filled with. Relative to the working directory. */
    @WithDefault("config/demo/hallow-water-ferries.json")
    Path installation();

    /** Where the plain secrets of the demo's sensors are kept for the simulator. Readable by the owner only. */
    @WithDefault("data/demo-sensors.csv")
    Path sensors();

    /** With {@code false} the demo's sensors are left to a simulator outside this process. */
    @WithDefault("true")
    boolean play();
}
