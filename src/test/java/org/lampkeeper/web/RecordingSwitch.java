package org.lampkeeper.web;

import java.util.Set;
import java.util.concurrent.ConcurrentHashMap;

import jakarta.inject.Singleton;

import io.quarkus.test.Mock;

import org.lampkeeper.demo.DemoSwitch;

/** Remembers what the demo buttons did, where the application would switch simulated sensors. */
@Mock
@Singleton
class RecordingSwitch implements DemoSwitch {

    private final Set<Target> away = ConcurrentHashMap.newKeySet();

    @Override
    public void takeAway(Target target) {
        away.add(target);
    }

    @Override
    public void giveBack(Target target) {
        away.remove(target);
    }

    @Override
    public boolean isAway(Target target) {
        return away.contains(target);
    }
}
