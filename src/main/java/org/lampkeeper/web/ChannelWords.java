package org.lampkeeper.web;

import java.time.Instant;
import java.time.ZoneId;
import java.util.List;

import jakarta.enterprise.context.ApplicationScoped;

import org.lampkeeper.alarm.Sentences;
import org.lampkeeper.message.Channels;
import org.lampkeeper.message.PersonChannel;
import org.lampkeeper.message.PersonChannel.Night;
import org.lampkeeper.message.PersonChannels;

/** What is known of people's channels, in words; never with an address. */
@ApplicationScoped
class ChannelWords {

    private final PersonChannels channels;
    private final Channels kinds;

    ChannelWords(PersonChannels channels, Channels kinds) {
        this.channels = channels;
        this.kinds = kinds;
    }

    /** "mail", "SMS". */
    String label(PersonChannel channel) {
        return kinds.label(channel.kind());
    }

    /** Can be used and is proven. */
    boolean isProven(PersonChannel channel) {
        return channels.isUsable(channel) && channels.isProven(channel);
    }

    /** "proven on 26 Nov"; "unproven"; "the proof of 3 Aug is old"; "not proven: on 4 Aug a message came back: 5.1.1". */
    String state(PersonChannel channel, ZoneId zone, Instant now) {
        if (!channels.isUsable(channel)) {
            return "not used: this installation has no " + label(channel) + " set up";
        }
        if (channel.returned().isPresent()) {
            return "not proven: on " + Sentences.day(channel.returned().get().at(), zone, now) + " a message " + channel.returned().get().why();
        }
        return channel.provenAt().map(at -> channels.isProven(channel) ? "proven on " + Sentences.day(at, zone, now)
                : "the proof of " + Sentences.day(at, zone, now) + " is old").orElse("unproven");
    }

    /** "rings at night: yes, 12 Nov"; empty where nobody was asked. */
    static String night(PersonChannel channel, ZoneId zone, Instant now) {
        return channel.night().map(night -> "rings at night: " + answer(night) + ", " + Sentences.day(night.at(), zone, now)).orElse("");
    }

    /** Both: "proven on 26 Nov; rings at night: yes, 12 Nov". */
    String stateAndNight(PersonChannel channel, ZoneId zone, Instant now) {
        String night = night(channel, zone, now);
        return state(channel, zone, now) + (night.isEmpty() ? "" : "; " + night);
    }

    private static String answer(Night night) {
        return switch (night.answer()) {
            case RANG -> "yes";
            case SILENT -> "no";
            case SEEN_LATER -> "not known, seen only later";
            case ARRIVED -> throw new IllegalStateException("an answer of the day is none of the night");
        };
    }

    /** All of a person's, in their order: "SMS, proven on 26 Nov; mail, unproven". */
    String all(List<PersonChannel> inOrder, ZoneId zone, Instant now) {
        return inOrder.isEmpty() ? "no channel, so nothing can be sent"
                : String.join("; ", inOrder.stream().map(it -> label(it) + ", " + state(it, zone, now)).toList());
    }

    /** By what an alarm goes at first: "SMS and mail"; empty for nothing. */
    String alarmGoesBy(List<PersonChannel> inOrder) {
        return PeopleReading.listed(channels.alarmGoesBy(inOrder).stream().map(this::label).distinct().toList());
    }
}
