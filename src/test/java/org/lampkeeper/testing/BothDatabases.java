package org.lampkeeper.testing;

import java.lang.annotation.ElementType;
import java.lang.annotation.Retention;
import java.lang.annotation.RetentionPolicy;
import java.lang.annotation.Target;

import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;

/** A test of SQL: runs on H2 and on PostgreSQL, each time with a fresh, migrated {@link TestDatabase} as its argument. */
@Target(ElementType.METHOD)
@Retention(RetentionPolicy.RUNTIME)
@ParameterizedTest(name = "{0}")
@MethodSource("org.lampkeeper.testing.TestDatabases#both")
public @interface BothDatabases {
}
