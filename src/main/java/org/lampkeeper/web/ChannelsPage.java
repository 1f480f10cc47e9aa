package org.lampkeeper.web;

import java.time.Clock;
import java.time.Instant;
import java.time.LocalTime;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.List;
import java.util.stream.Stream;

import jakarta.enterprise.context.ApplicationScoped;
import jakarta.ws.rs.NotFoundException;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import io.quarkus.qute.CheckedTemplate;
import io.quarkus.qute.TemplateInstance;

import org.lampkeeper.access.Accounts;
import org.lampkeeper.access.Caller;
import org.lampkeeper.access.CurrentCaller;
import org.lampkeeper.access.NotAllowed;
import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.message.PersonChannel;
import org.lampkeeper.message.PersonChannels;
import org.lampkeeper.message.ProofAnswer;
import org.lampkeeper.message.Proofs;
import org.lampkeeper.message.Proofs.Proof;
import org.lampkeeper.watch.SitePeople;
import org.lampkeeper.web.Input.Choice;
import org.lampkeeper.web.PeopleReading.PersonRow;

/** By what is somebody reached, in which order, and is that proven? The same page for oneself and for whoever looks after people. */
@ApplicationScoped
class ChannelsPage {

    // Ours: when most people sleep most deeply.
    private static final LocalTime USUAL = LocalTime.of(3, 0);
    // Ours: when a telephone is likely to be set to the night.
    private static final List<LocalTime> HOURS = Stream.iterate(LocalTime.of(21, 0), at -> at.plusHours(1)).limit(11).toList();

    private final PeopleReading people;
    private final PersonChannels channels;
    private final Proofs proofs;
    private final ChannelWords words;
    private final SitePeople sitePeople;
    private final Accounts accounts;
    private final CurrentCaller current;
    private final FormPage pages;
    private final Clock clock;

    ChannelsPage(PeopleReading people, PersonChannels channels, Proofs proofs, ChannelWords words, SitePeople sitePeople, Accounts accounts,
            CurrentCaller current, FormPage pages, Clock clock) {
        this.people = people;
        this.channels = channels;
        this.proofs = proofs;
        this.words = words;
        this.sitePeople = sitePeople;
        this.accounts = accounts;
        this.current = current;
        this.pages = pages;
        this.clock = clock;
    }

    @CheckedTemplate
    static class Templates {
        static native TemplateInstance channels(ChannelsView view);
    }

    /**
     * @param said    what was done just before; empty for nothing
     * @param problem why something was not done; empty for nothing
     * @param base    of what can be done here
     * @param whom    "you" or "them"
     * @param zone    whose clocks the hours of the night are on
     */
    record ChannelsView(Frame frame, String headline, String said, String problem, String base, String back, String whom, List<ChannelView> channels,
            List<Choice> hours, String usual, String zone) {

        /**
         * @param kept    why it cannot be taken away; empty where it can
         * @param asked   what a code that was heard can be answered with; nothing where no proof waits for an answer
         * @param pending each proof that waits, as a sentence
         */
        record ChannelView(long id, String label, String address, String state, String look, List<String> pending, List<Choice> asked, boolean mayProve,
                boolean isPlanned, boolean isFirst, boolean isLast, String kept) {
        }
    }

    /** What was just done, by the word for it in the address; any other says nothing. */
    static String words(String said) {
        return switch (said) {
            case "sent" -> "The proof is on its way. It counts once its link was opened and its button pressed.";
            case "proven" -> "Recorded.";
            case "planned" -> "It is sent at that hour.";
            case "withdrawn" -> "Nothing is sent in the night.";
            case "moved" -> "The order is changed.";
            case "added" -> "The channel is added. Send a proof by it, or no alarm relies on it.";
            case "removed" -> "The channel is taken away.";
            default -> "";
        };
    }

    /** The person, if the caller may change their channels: themself, or whoever may change the person. */
    PersonRow changeable(long personId) {
        Caller caller = current.get();
        PersonRow row = people.find(personId, caller).orElseThrow(NotFoundException::new);
        if (caller.personId() != personId && !accounts.mayChange(caller, personId)) {
            throw new NotAllowed("You cannot change how " + row.name() + " is reached; they can themselves, and so can their administrator.");
        }
        return row;
    }

    /** Where the page is, for the caller. */
    String address(long personId) {
        return current.get().personId() == personId ? "/me/channels" : "/people/" + personId + "/channels";
    }

    Response page(int status, long personId, String said, String problem) {
        PersonRow row = changeable(personId);
        Instant now = clock.instant();
        ZoneId zone = sitePeople.zoneOf(personId);
        boolean isOwn = current.get().personId() == personId;
        List<PersonChannel> inOrder = channels.of(personId);
        List<Proof> open = proofs.open(personId);
        List<ChannelsView.ChannelView> lines = new ArrayList<>();
        for (PersonChannel channel : inOrder) {
            List<Proof> its = open.stream().filter(proof -> proof.channel().id() == channel.id()).toList();
            lines.add(new ChannelsView.ChannelView(channel.id(), words.label(channel), channel.address(), words.stateAndNight(channel, zone, now),
                    words.isProven(channel) ? "plain" : "unknown",
                    its.stream().map(proof -> pending(proof, zone, now)).toList(), asked(its), channels.isUsable(channel),
                    its.stream().anyMatch(proof -> proof.sentAt().isEmpty()), lines.isEmpty(), lines.size() == inOrder.size() - 1,
                    PersonChannels.whyKept(inOrder, channel).orElse("")));
        }
        ChannelsView view = new ChannelsView(pages.frame(isOwn ? "Your channels" : "Channels of " + row.name(), isOwn ? "me" : "people"),
                headline(isOwn ? "you" : row.name(), inOrder), said, problem, "/people/" + personId + "/channels", isOwn ? "/me" : "/people/" + personId,
                isOwn ? "you" : "them", lines, HOURS.stream().map(hour -> new Choice(hour.toString(), hour.toString())).toList(), USUAL.toString(),
                SupplyPage.zoneName(zone));
        return Response.status(status).type(MediaType.TEXT_HTML_TYPE.withCharset("UTF-8")).entity(Templates.channels(view).render()).build();
    }

    private String headline(String whom, List<PersonChannel> inOrder) {
        String by = words.alarmGoesBy(inOrder);
        if (by.isEmpty()) {
            return "Nothing can be sent to " + whom + ": there is no channel.";
        }
        return inOrder.stream().anyMatch(words::isProven) ? "An alarm goes to " + whom + " by " + by + "."
                : "An alarm goes to " + whom + " by " + by + ", and the next is told too: no channel is proven.";
    }

    private static List<Choice> asked(List<Proof> its) {
        List<Choice> asked = new ArrayList<>();
        if (its.stream().anyMatch(proof -> proof.sentAt().isPresent() && !proof.isAtNight())) {
            asked.add(new Choice(ProofAnswer.ARRIVED.name(), "It arrived"));
        }
        if (its.stream().anyMatch(proof -> proof.sentAt().isPresent() && proof.isAtNight())) {
            asked.addAll(ProofResource.NIGHT);
        }
        return asked;
    }

    private static String pending(Proof proof, ZoneId zone, Instant now) {
        return proof.sentAt().map(at -> "A proof was sent at " + Sentences.clock(at, zone, now) + " and is not answered yet.")
                .orElseGet(() -> "A proof is sent at " + Sentences.clock(proof.dueAt(), zone, now) + ".");
    }
}
