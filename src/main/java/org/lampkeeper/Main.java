package org.lampkeeper;

import java.util.Arrays;
import java.util.List;

import io.quarkus.runtime.Quarkus;
import io.quarkus.runtime.annotations.QuarkusMain;
import org.eclipse.microprofile.config.ConfigProvider;

import org.lampkeeper.telemetry.BrokerExportCommand;
import org.lampkeeper.upkeep.RestoreCommand;

/** Without an argument, the service; with one, a command that does its work and ends. */
@QuarkusMain
public final class Main {

    private static final int MISUSED = 2;

    private Main() {
    }

    public static void main(String... arguments) {
        if (arguments.length == 0) {
            Quarkus.run(arguments);
            return;
        }
        List<String> rest = Arrays.asList(arguments).subList(1, arguments.length);
        if (arguments[0].equals(BrokerExportCommand.NAME)) {
            System.exit(new BrokerExportCommand(ConfigProvider.getConfig(), System.out, System.err).run(rest));
        }
        if (arguments[0].equals(RestoreCommand.NAME)) {
            System.exit(new RestoreCommand(ConfigProvider.getConfig(), System.out, System.err).run(rest));
        }
        System.err.println("'" + arguments[0] + "' is no command of Lampkeeper. Without a command it runs the service; the commands are:\n  "
                + BrokerExportCommand.USAGE + "\n  " + RestoreCommand.USAGE);
        System.exit(MISUSED);
    }
}
