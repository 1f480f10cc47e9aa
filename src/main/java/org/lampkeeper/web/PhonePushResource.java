package org.lampkeeper.web;

import java.io.InputStream;
import java.time.Clock;
import java.util.List;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;

import io.quarkus.vertx.http.runtime.CurrentVertxRequest;

import org.lampkeeper.access.Open;
import org.lampkeeper.access.Phones;
import org.lampkeeper.access.Phones.Known;
import org.lampkeeper.message.AddressRefused;
import org.lampkeeper.message.PushSubscriptions;
import org.lampkeeper.register.By;
import org.lampkeeper.web.Refused.FieldError;
import org.lampkeeper.web.api.StrictJson;

/** An enrolled phone says where its browser takes messages, or that it takes none any more. Whose it is is said by the phone's cookie alone. */
@Path("/phone/push")
@Open
@Produces(MediaType.APPLICATION_JSON)
class PhonePushResource {

    private final Phones phones;
    private final PhoneCookie cookie;
    private final PushSubscriptions push;
    private final StrictJson json;
    private final CurrentVertxRequest current;
    private final Clock clock;

    PhonePushResource(Phones phones, PhoneCookie cookie, PushSubscriptions push, StrictJson json, CurrentVertxRequest current, Clock clock) {
        this.phones = phones;
        this.cookie = cookie;
        this.push = push;
        this.json = json;
        this.current = current;
        this.clock = clock;
    }

    /** As the browser gives it: W3C Push API, section 8, PushSubscriptionJSON, without what it may say of its end. */
    record Wanted(String endpoint, Keys keys) {
    }

    record Keys(String p256dh, String auth) {
    }

    record Outcome(boolean isOn, String words) {
    }

    @POST
    @Consumes(MediaType.APPLICATION_JSON)
    public Response start(InputStream body) {
        Known known = known();
        Wanted wanted = json.read(body, Wanted.class).value();
        if (wanted.endpoint() == null || wanted.keys() == null || wanted.keys().p256dh() == null || wanted.keys().auth() == null) {
            throw refused("must have endpoint, keys/p256dh and keys/auth, as the browser gives them");
        }
        try {
            push.start(known.personId(), known.phoneId(), wanted.endpoint(), wanted.keys().p256dh(), wanted.keys().auth());
        } catch (AddressRefused refused) {
            throw refused(refused.getMessage());
        }
        return told(true, "A message is on its way to this phone. Tap it and say that it arrived: no alarm relies on this phone before.");
    }

    @POST
    @Path("end")
    public Response end() {
        Known known = known();
        return told(false, push.end(known.personId(), known.phoneId(), By.person(known.personId(), clock.instant()))
                .map(kept -> "No messages come to this phone any more. It is still among your channels, since it " + kept + ".")
                .orElse("No messages come to this phone any more."));
    }

    private Response told(boolean isOn, String words) {
        return Response.ok(json.write(new Outcome(isOn, words))).build();
    }

    private Known known() {
        return cookie.read(current.getCurrent().request()).flatMap(phones::find)
                .orElseThrow(() -> new Refused(ProblemType.NOT_SIGNED_IN, "This phone is not enrolled, or not any more."));
    }

    private static Refused refused(String why) {
        return new Refused(ProblemType.INVALID, "The subscription: " + why + ".", List.of(new FieldError("#", why)));
    }
}
