package org.lampkeeper.register;

import jakarta.enterprise.context.ApplicationScoped;

import io.quarkus.hibernate.orm.panache.PanacheRepositoryBase;

@ApplicationScoped
class BoardRepository implements PanacheRepositoryBase<Board, Long> {
}
