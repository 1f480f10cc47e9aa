package org.lampkeeper.register;

import java.util.Collection;
import java.util.Comparator;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.function.Function;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Collectors;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.transaction.Transactional;

/**
 * What stands where and what feeds it, for messages and pages. Joins the caller's transaction or
 * reads in one of its own, so that nothing older than that comes from a session's cache. May be called on any thread.
 */
@ApplicationScoped
@Transactional
public class Register {

    /** The version of what nobody has said anything about yet. */
    public static final int NOTHING_SAID = CallOutLists.NONE_STORED;

    // Nine digits fit an int.
    private static final Pattern LEADING_NUMBER = Pattern.compile("\\d{1,9}");

    /** A board's ways in the order in which they stand on it: "10" after "9". */
    private static final Comparator<CabinetSheet> AS_ON_THE_BOARD = Comparator
            .comparing((CabinetSheet sheet) -> sheet.site().name())
            .thenComparing(sheet -> sheet.board().name())
            .thenComparing(sheet -> leadingNumber(sheet.circuit().way()))
            .thenComparing(sheet -> sheet.circuit().way());

    private final CircuitRepository circuits;
    private final SiteRepository sites;
    private final BoardRepository boards;
    private final CabinetRepository cabinets;
    private final ContentRepository contents;
    private final WarmthRepository warmths;

    Register(CircuitRepository circuits, SiteRepository sites, BoardRepository boards, CabinetRepository cabinets,
            ContentRepository contents, WarmthRepository warmths) {
        this.circuits = circuits;
        this.sites = sites;
        this.boards = boards;
        this.cabinets = cabinets;
        this.contents = contents;
        this.warmths = warmths;
    }

    /**
     * The sheet of a cabinet that the caller knows to exist.
     *
     * @throws IllegalArgumentException when it does not; an id from outside goes to {@link #findSheet}
     */
    public CabinetSheet sheet(long cabinetId) {
        return findSheet(cabinetId).orElseThrow(() -> new IllegalArgumentException("cabinet " + cabinetId + ": not registered"));
    }

    public Optional<CabinetSheet> findSheet(long cabinetId) {
        return circuits.ofCabinet(cabinetId).map(Circuit::sheet);
    }

    /** By number, without those that are not registered or not in use; one query. */
    public Map<Long, CabinetSheet> sheets(Collection<Long> cabinetIds) {
        return cabinetIds.isEmpty() ? Map.of()
                : circuits.ofCabinets(cabinetIds).stream().map(Circuit::sheet).collect(Collectors.toMap(CabinetSheet::cabinetId, Function.identity()));
    }

    /** All cabinets of a site, by board and way; one query. Empty for a site that is not registered. */
    public List<CabinetSheet> sheetsOfSite(long siteId) {
        return sheets(circuits.ofSite(siteId));
    }

    /** All cabinets that a board feeds, whichever site they stand at: they are lost together. One query. */
    public List<CabinetSheet> sheetsOnBoard(long boardId) {
        return sheets(circuits.onBoard(boardId));
    }

    /** All cabinets of all sites, by site, board and way; one query. */
    public List<CabinetSheet> sheets() {
        return sheets(circuits.everywhere());
    }

    private static List<CabinetSheet> sheets(List<Circuit> found) {
        return found.stream().map(Circuit::sheet).sorted(AS_ON_THE_BOARD).toList();
    }

    /** By name. */
    public List<SiteSheet> sites() {
        return sites.list("ORDER BY name").stream().map(Site::sheet).toList();
    }

    public Optional<SiteSheet> site(long siteId) {
        return sites.findByIdOptional(siteId).map(Site::sheet);
    }

    /** By name. */
    public List<BoardSheet> boardsOfSite(long siteId) {
        return boards.list("FROM Board b JOIN FETCH b.site WHERE b.site.id = ?1 ORDER BY b.name", siteId).stream().map(Board::sheet).toList();
    }

    /** Every board of every site, by site and name. */
    public List<BoardSheet> boards() {
        return boards.list("FROM Board b JOIN FETCH b.site s ORDER BY s.name, b.name").stream().map(Board::sheet).toList();
    }

    public Optional<BoardSheet> board(long boardId) {
        return boards.findByIdOptional(boardId).map(Board::sheet);
    }

    /** Empty for a cabinet that is not registered; there also for one that is out of use. */
    public Optional<ContentSheet> content(long cabinetId) {
        return cabinets.findByIdOptional(cabinetId)
                .flatMap(cabinet -> contents.findByIdOptional(cabinetId).map(content -> content.sheet(cabinet.content())));
    }

    /** How it keeps warm; {@link NewWarmth#NOTHING} with the version {@link #NOTHING_SAID} as long as nobody has said anything. */
    public WarmthSheet warmth(long cabinetId) {
        return warmths.findByIdOptional(cabinetId).map(Warmth::sheet).orElseGet(() -> new WarmthSheet(cabinetId, NewWarmth.NOTHING, NOTHING_SAID));
    }

    /** In use or not; empty for one that is not registered. */
    public Optional<CabinetName> named(long cabinetId) {
        return cabinets.find("FROM Cabinet c JOIN FETCH c.site WHERE c.id = ?1", cabinetId).firstResultOptional().map(Cabinet::named);
    }

    /** Empty for a cabinet that is in use, or not registered. */
    public Optional<OutOfUseSheet> outOfUse(long cabinetId) {
        return cabinets.find("FROM Cabinet c JOIN FETCH c.site WHERE c.id = ?1", cabinetId).firstResultOptional().flatMap(Cabinet::outOfUse);
    }

    /** Those of a site that are out of use, by name. */
    public List<OutOfUseSheet> outOfUseAt(long siteId) {
        return cabinets.list("FROM Cabinet c JOIN FETCH c.site s WHERE s.id = ?1 AND c.outOfUseSince IS NOT NULL ORDER BY c.name", siteId)
                .stream().flatMap(cabinet -> cabinet.outOfUse().stream()).toList();
    }

    private static int leadingNumber(String way) {
        Matcher number = LEADING_NUMBER.matcher(way);
        return number.lookingAt() ? Integer.parseInt(number.group()) : Integer.MAX_VALUE;
    }
}
