package org.lampkeeper.register;

/** How a cabinet keeps warm, as stored; see {@link NewWarmth} for what each component says. */
public record WarmthSheet(long cabinetId, NewWarmth said, int version) {
}
