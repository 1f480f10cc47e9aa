package org.lampkeeper.testing;

import java.lang.annotation.ElementType;
import java.lang.annotation.Retention;
import java.lang.annotation.RetentionPolicy;
import java.lang.annotation.Target;

import org.junit.jupiter.api.extension.ExtendWith;

/** Skips, with one line, where a program is not installed on a developer's machine; fails where {@code CI=true}. */
@Target({ElementType.TYPE, ElementType.METHOD})
@Retention(RetentionPolicy.RUNTIME)
@ExtendWith(ToolPresent.class)
public @interface EnabledIfTool {

    /** The programs' names, as one would type them; all of them are needed. */
    String[] value();
}
