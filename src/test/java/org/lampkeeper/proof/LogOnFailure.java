package org.lampkeeper.proof;

import org.junit.jupiter.api.extension.AfterTestExecutionCallback;
import org.junit.jupiter.api.extension.ExtensionContext;

import org.lampkeeper.testing.ServiceProcess;

/** Shows the end of the services' logs beside a failure: what went wrong is usually said there. */
final class LogOnFailure implements AfterTestExecutionCallback {

    @Override
    public void afterTestExecution(ExtensionContext context) {
        context.getExecutionException().ifPresent(failure -> ServiceProcess.inUse().forEach(service -> System.err.println(
                "==== " + context.getDisplayName() + " failed; the end of " + service.directory().resolve("service.log") + ":\n"
                        + service.logTail())));
    }
}
