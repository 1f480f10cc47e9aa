package org.lampkeeper.web;


import jakarta.annotation.Priority;
import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;

import io.quarkus.runtime.StartupEvent;
import org.eclipse.microprofile.config.inject.ConfigProperty;
import org.jboss.logging.Logger;

import org.lampkeeper.access.Accounts;
import org.lampkeeper.demo.DemoData;
import org.lampkeeper.message.MessageConfig;

/**
 * There is no default password: as long as nobody can sign in, each start prints one link to the log, and whoever can read the log opens
 * it. In the demo the demo's people are there to enter as.
 */
@ApplicationScoped
class FirstAdministrator {

    private static final Logger LOG = Logger.getLogger(FirstAdministrator.class);
    private static final int AFTER_THE_DEMO_IS_IN = DemoData.AT_START + 100;

    private final Accounts accounts;
    private final MessageConfig messages;
    private final boolean isDemo;

    FirstAdministrator(Accounts accounts, MessageConfig messages,
            @ConfigProperty(name = "lampkeeper.demo", defaultValue = "false") boolean isDemo) {
        this.accounts = accounts;
        this.messages = messages;
        this.isDemo = isDemo;
    }

    void onStart(@Observes @Priority(AFTER_THE_DEMO_IS_IN) StartupEvent started) {
        if (!isDemo) {
            accounts.inviteFirst().ifPresent(invited -> LOG.warnf("Nobody can sign in yet. Whoever opens this link first becomes administrator;"
                    + " it can be used once, until %s: %s", invited.endsAt(), messages.address("invitation/" + invited.token())));
        }
    }
}
