package org.lampkeeper.register;

import jakarta.enterprise.context.ApplicationScoped;

import io.quarkus.hibernate.orm.panache.PanacheRepositoryBase;

@ApplicationScoped
class PersonRepository implements PanacheRepositoryBase<Person, Long> {
}
