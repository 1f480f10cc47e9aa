package org.lampkeeper.thermal;

/** One figure out of a fit by least squares: the logarithm of a time constant in seconds, and its standard error. */
interface Estimate {

    double logTau();

    double standardError();
}
