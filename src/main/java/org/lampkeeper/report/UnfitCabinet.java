package org.lampkeeper.report;

import java.util.ArrayList;
import java.util.List;
import java.util.Map;

import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.OutOfUseSheet;

/** A cabinet, in use or not, and when it was not fit for use. */
public record UnfitCabinet(long cabinetId, String code, String name, UnfitRecord record) {

    /** Those of which anything is on record, first those in use. */
    public static List<UnfitCabinet> of(List<CabinetSheet> inUse, List<OutOfUseSheet> outOfUse, Map<Long, UnfitRecord> records) {
        List<UnfitCabinet> unfit = new ArrayList<>();
        inUse.stream().filter(each -> records.containsKey(each.cabinetId()))
                .forEach(each -> unfit.add(new UnfitCabinet(each.cabinetId(), each.code(), each.name(), records.get(each.cabinetId()))));
        outOfUse.stream().filter(each -> records.containsKey(each.cabinetId()))
                .forEach(each -> unfit.add(new UnfitCabinet(each.cabinetId(), each.code(), each.name(), records.get(each.cabinetId()))));
        return unfit;
    }
}
