package org.lampkeeper.watch;

import java.time.Duration;
import java.time.LocalTime;

import jakarta.validation.constraints.Max;
import jakarta.validation.constraints.Min;

import io.smallrye.config.ConfigMapping;
import io.smallrye.config.WithDefault;
import org.hibernate.validator.constraints.time.DurationMin;

/** How long is kept what would grow for ever. The journal, alarms, call-outs, attendance records and looks are never removed. */
@ConfigMapping(prefix = "lampkeeper.retention")
public interface RetentionConfig {

    /** When old rows are removed each day, in {@link WatchConfig#operatorZone()}. */
    @WithDefault("03:20")
    LocalTime at();

    /** How long temperatures are kept, a row a sensor and quarter of an hour. The page of a cabinet draws the last day of them. */
    @WithDefault("400d")
    @DurationMin(days = 2)
    Duration temperatures();

    /** How long days of temperatures are kept, a row a sensor and day. A season and a year are drawn from them. */
    @WithDefault("3660d")
    @DurationMin(days = 2)
    Duration days();

    /**
     * How long messages, and events for programs outside, are kept after they were handed over, or could not be. A message of an alarm that is
     * open stays, however old.
     */
    @WithDefault("400d")
    @DurationMin(days = 30)
    Duration messages();

    /** How long samples of reports that could not be used are kept. */
    @WithDefault("90d")
    @DurationMin(days = 1)
    Duration refusedReports();

    /** How many rows of a kind are removed in one transaction; more: sooner done, longer locks and a larger write-ahead log. */
    @WithDefault("5000")
    @Min(1)
    @Max(100_000)
    int batch();
}
