/** What tests of several rooms share: databases of both kinds, profiles of the application, and a clock that can be moved. */
package org.lampkeeper.testing;
