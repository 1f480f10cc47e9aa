package org.lampkeeper.register;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Optional;

import jakarta.persistence.CollectionTable;
import jakarta.persistence.Column;
import jakarta.persistence.ElementCollection;
import jakarta.persistence.Entity;
import jakarta.persistence.FetchType;
import jakarta.persistence.Id;
import jakarta.persistence.JoinColumn;
import jakarta.persistence.OrderColumn;

import org.jspecify.annotations.Nullable;

import org.lampkeeper.quantity.Celsius;

/** At which temperatures a cabinet's content may be stored, and its parts with a date; its kind stands with the cabinet. */
@Entity
class Content extends Kept {

    @Id
    private Long cabinetId;
    private boolean limitsAsked;
    @Column(name = "lowest_c")
    private @Nullable Double lowestCelsius;
    @Column(name = "highest_c")
    private @Nullable Double highestCelsius;
    @ElementCollection(fetch = FetchType.LAZY)
    @CollectionTable(name = "content_part", joinColumns = @JoinColumn(name = "cabinet_id"))
    @OrderColumn(name = "position")
    private List<ContentPart> parts = new ArrayList<>();

    protected Content() {
    }

    Content(long cabinetId, NewContent entered, By by) {
        this.cabinetId = cabinetId;
        take(entered, by);
    }

    void take(NewContent entered, By by) {
        limitsAsked = entered.limitsAsked();
        lowestCelsius = entered.lowest().map(Celsius::value).orElse(null);
        highestCelsius = entered.highest().map(Celsius::value).orElse(null);
        parts.clear();
        entered.parts().stream().sorted(Comparator.comparing(DatedPart::goodUntil)).forEach(part -> parts.add(new ContentPart(part)));
        changed(by);
    }

    ContentSheet sheet(String kind) {
        return new ContentSheet(cabinetId, kind, limitsAsked, Optional.ofNullable(lowestCelsius).map(Celsius::new),
                Optional.ofNullable(highestCelsius).map(Celsius::new), parts.stream().map(ContentPart::part).toList(), version());
    }
}
