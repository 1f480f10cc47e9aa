/** The packaged service as a process, proven from outside: over the wire, with real servers, and killed at every point. See docs/proofs.md. */
package org.lampkeeper.proof;
