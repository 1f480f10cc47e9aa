package org.lampkeeper.register;

import org.lampkeeper.callout.CallOutList;

/**
 * The list that is stored for a site, or for the operator.
 *
 * @param list    without turns where nothing is stored
 * @param version {@link CallOutLists#NONE_STORED} where nothing is
 */
public record CallOutSheet(long siteId, CallOutList list, int version) {
}
