package org.lampkeeper.web;

import java.time.Clock;
import java.time.Instant;
import java.util.List;
import java.util.stream.Stream;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.ws.rs.NotFoundException;

import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.access.Right;
import org.lampkeeper.register.BoardSheet;
import org.lampkeeper.register.By;
import org.lampkeeper.register.CabinetName;
import org.lampkeeper.register.CabinetSheet;
import org.lampkeeper.register.Register;
import org.lampkeeper.register.SiteSheet;

/** What every form about sites, boards and cabinets asks of the register and of whoever fills it in. */
@ApplicationScoped
class Plant {

    private final Register register;
    private final CurrentCaller caller;
    private final Clock clock;

    Plant(Register register, CurrentCaller caller, Clock clock) {
        this.register = register;
        this.caller = caller;
        this.clock = clock;
    }

    Instant now() {
        return clock.instant();
    }

    By by() {
        return By.person(caller.get().personId(), clock.instant());
    }

    boolean may(Right right, long siteId) {
        return caller.get().reach().may(right, siteId);
    }

    boolean mayEverywhere(Right right) {
        return caller.get().reach().mayEverywhere(right);
    }

    SiteSheet site(long siteId) {
        return register.site(siteId).orElseThrow(NotFoundException::new);
    }

    BoardSheet board(long boardId) {
        return register.board(boardId).orElseThrow(NotFoundException::new);
    }

    /** Of a cabinet in use; one that is not has no circuit, and nothing of it is changed any more. */
    CabinetSheet cabinet(long cabinetId) {
        return register.findSheet(cabinetId).orElseThrow(NotFoundException::new);
    }

    /** In use or not: for what stays readable after it. */
    CabinetName named(long cabinetId) {
        return register.named(cabinetId).orElseThrow(NotFoundException::new);
    }

    /** The boards that the caller sees, those of this site first: a cabinet may be fed from a neighbour's. */
    List<BoardSheet> boards(long siteId) {
        List<BoardSheet> all = register.boards();
        return Stream.concat(all.stream().filter(board -> board.siteId() == siteId),
                all.stream().filter(board -> board.siteId() != siteId && caller.get().reach().sees(board.siteId()))).toList();
    }
}
