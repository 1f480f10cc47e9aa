/**
 * Sensors that do not exist, playing over real MQTT what sensors do: report, fall silent, lose supply, get the time wrong, send rubbish.
 * A stranger's program: knows the wire format and nothing else of this source tree. Keeps: the same seed plays the same play.
 */
@NullMarked
package org.lampkeeper.simulator;

import org.jspecify.annotations.NullMarked;
