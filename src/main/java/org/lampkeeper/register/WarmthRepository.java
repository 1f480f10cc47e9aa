package org.lampkeeper.register;

import jakarta.enterprise.context.ApplicationScoped;

import io.quarkus.hibernate.orm.panache.PanacheRepositoryBase;

@ApplicationScoped
class WarmthRepository implements PanacheRepositoryBase<Warmth, Long> {
}
