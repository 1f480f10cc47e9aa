package org.lampkeeper.web;

import jakarta.ws.rs.DefaultValue;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.HttpHeaders;
import jakarta.ws.rs.core.Response;

import org.jboss.resteasy.reactive.RestQuery;

import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.access.Needs;
import org.lampkeeper.access.Right;
import org.lampkeeper.web.csv.CsvFile;
import org.lampkeeper.web.csv.CsvKind;
import org.lampkeeper.web.csv.Exports;

/** The register as files that can be imported again, as far as the caller sees it. */
@Path("/export")
@Produces("text/csv; charset=utf-8")
@Needs(Right.SEE)
class ExportResource {

    private final Exports exports;
    private final CurrentCaller current;

    ExportResource(Exports exports, CurrentCaller current) {
        this.exports = exports;
        this.current = current;
    }

    /** {@code separator}: {@code semicolon} for spreadsheets of countries with a decimal comma; anything else is a comma. */
    @GET
    @Path("sites.csv")
    public Response sites(@RestQuery @DefaultValue("") String separator) {
        return file(CsvKind.SITES, separator);
    }

    @GET
    @Path("cabinets.csv")
    public Response cabinets(@RestQuery @DefaultValue("") String separator) {
        return file(CsvKind.CABINETS, separator);
    }

    @GET
    @Path("sensors.csv")
    public Response sensors(@RestQuery @DefaultValue("") String separator) {
        return file(CsvKind.SENSORS, separator);
    }

    private Response file(CsvKind kind, String separator) {
        return Response.ok(CsvFile.BYTE_ORDER_MARK + exports.write(kind, current.get().reach(), separator.equals("semicolon") ? ';' : ','))
                .header(HttpHeaders.CONTENT_DISPOSITION, "attachment; filename=\"" + kind.words() + ".csv\"").build();
    }
}
