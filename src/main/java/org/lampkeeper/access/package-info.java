/**
 * Who may do what where: roles and their reach, accounts, invitations, signing in, sessions, API tokens.
 * May know {@code register} and {@code journal}. Keeps: a person sees only their sites; no secret is stored that could be used again.
 */
@NullMarked
package org.lampkeeper.access;

import org.jspecify.annotations.NullMarked;
