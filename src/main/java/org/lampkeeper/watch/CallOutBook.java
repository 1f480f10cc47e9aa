package org.lampkeeper.watch;

import io.quarkus.hibernate.orm.panache.PanacheRepositoryBase;
import jakarta.enterprise.context.ApplicationScoped;

@ApplicationScoped
class CallOutBook implements PanacheRepositoryBase<CallOutRecord, Long> {
}
