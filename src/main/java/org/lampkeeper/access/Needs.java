package org.lampkeeper.access;

import java.lang.annotation.ElementType;
import java.lang.annotation.Retention;
import java.lang.annotation.RetentionPolicy;
import java.lang.annotation.Target;

/**
 * What the caller must be allowed to do for this address, at the site that its path names; at any site where it names none, and at every
 * one where {@link #everywhere()} says so. Without this annotation and without {@link Open}, an address needs {@link Right#SEE}.
 */
@Target({ElementType.TYPE, ElementType.METHOD})
@Retention(RetentionPolicy.RUNTIME)
public @interface Needs {

    Right value();

    boolean everywhere() default false;
}
