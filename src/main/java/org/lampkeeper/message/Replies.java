package org.lampkeeper.message;

import java.util.List;
import java.util.Optional;

/** Takes in what people send back. Whoever knows what can be taken and passed on provides it. */
public interface Replies {

    /**
     * Returns once all that follows from it is stored; throws where that failed, and then nothing is. The same may be heard again and then
     * has no further effect.
     *
     * @param channel the kind of channel by which it came
     * @param senders what the number may mean, in E.164, the likeliest first; none where it is no number
     * @param text    empty where it is none that can be read
     */
    void heard(String channel, List<String> senders, Optional<String> text);
}
