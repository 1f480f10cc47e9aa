package org.lampkeeper.register;

import jakarta.enterprise.context.ApplicationScoped;

import io.quarkus.hibernate.orm.panache.PanacheRepositoryBase;

@ApplicationScoped
class ContentRepository implements PanacheRepositoryBase<Content, Long> {
}
