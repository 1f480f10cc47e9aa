package org.lampkeeper.web.api;

import java.io.IOException;
import java.nio.file.Files;

import jakarta.ws.rs.GET;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.HttpHeaders;
import jakarta.ws.rs.core.Response;
import jakarta.ws.rs.core.StreamingOutput;

import org.eclipse.microprofile.openapi.annotations.Operation;
import org.eclipse.microprofile.openapi.annotations.responses.APIResponse;
import org.eclipse.microprofile.openapi.annotations.tags.Tag;

import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;
import org.lampkeeper.upkeep.Backup;
import org.lampkeeper.web.ProblemType;
import org.lampkeeper.web.Refused;

/** The embedded database, to be kept elsewhere. */
@Path("/api/backup")
@Needs(value = Right.OPERATE, everywhere = true)
@Tag(name = "operation", description = "Lampkeeper itself.")
class BackupResource {

    private final Backup backup;
    private final CurrentCaller caller;

    BackupResource(Backup backup, CurrentCaller caller) {
        this.backup = backup;
        this.caller = caller;
    }

    @GET
    @Produces("application/zip")
    @Operation(operationId = "takeBackup", summary = "Takes a backup of the embedded database while the service goes on",
            description = "Every transaction that is committed when it begins is in it. The keys in the folder of keys are not. Of PostgreSQL there is none: it has tools of its own.")
    @APIResponse(responseCode = "200", description = "A zip file; docs/backup.md says how it is put back, or moved to PostgreSQL.")
    public Response take() {
        if (!backup.isOffered()) {
            throw new Refused(ProblemType.NOT_FOUND, "The database is PostgreSQL: take a backup with its own tools, such as pg_dump.");
        }
        java.nio.file.Path zip = backup.take(caller.get().reference());
        StreamingOutput content = out -> {
            try {
                Files.copy(zip, out);
            } finally {
                Files.deleteIfExists(zip);
            }
        };
        return Response.ok(content).header(HttpHeaders.CONTENT_DISPOSITION, "attachment; filename=\"lampkeeper-backup.zip\"")
                .header(HttpHeaders.CONTENT_LENGTH, size(zip)).build();
    }

    private static long size(java.nio.file.Path zip) {
        try {
            return Files.size(zip);
        } catch (IOException gone) {
            throw new IllegalStateException("the backup was taken away before it was sent", gone);
        }
    }
}
