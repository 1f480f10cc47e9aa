package org.lampkeeper.watch;

import jakarta.enterprise.context.ApplicationScoped;

import io.quarkus.hibernate.orm.panache.PanacheRepositoryBase;

@ApplicationScoped
class CallOutBook implements PanacheRepositoryBase<CallOutRecord, Long> {
}
