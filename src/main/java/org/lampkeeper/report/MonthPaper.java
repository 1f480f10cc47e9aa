package org.lampkeeper.report;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;

/** A month of a site on paper. */
public final class MonthPaper {

    private MonthPaper() {
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance month(SiteMonth month, String made, int width, int high);
    }

    /** @param made when and from where, as it is printed at the foot of each page */
    public static byte[] of(SiteMonth month, String made) {
        return Paper.of(Templates.month(month, made, SiteMonth.WIDTH, MonthTemperatures.HEIGHT).render());
    }
}
