package org.lampkeeper.register;

import jakarta.enterprise.context.ApplicationScoped;

import io.quarkus.hibernate.orm.panache.PanacheRepositoryBase;

@ApplicationScoped
class CabinetRepository implements PanacheRepositoryBase<Cabinet, Long> {
}
