package org.lampkeeper.register;

import java.lang.reflect.InvocationHandler;
import java.lang.reflect.InvocationTargetException;
import java.lang.reflect.Method;
import java.lang.reflect.Proxy;
import java.sql.CallableStatement;
import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.SQLException;
import java.sql.Statement;
import java.util.Set;
import java.util.regex.Pattern;

import org.h2.engine.SessionLocal;

/**
 * A connection to an H2 file: its changes make way while the file is written, and each commit returns only when it is in the file ({@link WholeFile}). */
final class WholeFileConnection implements InvocationHandler {

    private static final Pattern READS = Pattern.compile("(?i)\\s*(SELECT|WITH|VALUES|SHOW|EXPLAIN|SCRIPT)\\b");
    private static final Pattern CHANGES = Pattern.compile("(?i)\\b(FOR\\s+UPDATE|FOR\\s+(NO\\s+)?KEY|FOR\\s+SHARE|NEXT\\s+VALUE|NEXTVAL|INSERT|UPDATE|DELETE|MERGE)\\b");
    /** The rest of what changes anything may commit by itself. */
    private static final Pattern WAITS_FOR_COMMIT = Pattern.compile("(?i)\\s*(SELECT|WITH|VALUES|INSERT|UPDATE|DELETE|MERGE)\\b");
    private static final Set<String> ENDS_UNCOMMITTED = Set.of("rollback", "close", "abort");

    private final Connection connection;
    private final WholeFile file;
    private final SessionLocal session;
    private boolean hasChanged;

    private WholeFileConnection(Connection connection, WholeFile file) throws SQLException {
        this.connection = connection;
        this.file = file;
        this.session = WholeFile.session(connection);
    }

    /** {@code connection}, which is one of H2's own, with its changes led by {@code file}. */
    static Connection of(Connection connection, WholeFile file) throws SQLException {
        return proxy(Connection.class, new WholeFileConnection(connection, file));
    }

    private static <T> T proxy(Class<T> type, InvocationHandler handler) {
        return type.cast(Proxy.newProxyInstance(WholeFileConnection.class.getClassLoader(), new Class<?>[] {type}, handler));
    }

    private static Object call(Object target, Method method, Object... arguments) throws Throwable {
        try {
            return method.invoke(target, arguments);
        } catch (InvocationTargetException e) {
            throw e.getCause();
        }
    }

    @Override
    public Object invoke(Object proxy, Method method, Object[] arguments) throws Throwable {
        String name = method.getName();
        if (name.equals("commit") || name.equals("setAutoCommit")) {
            return committing(method, arguments);
        }
        if (ENDS_UNCOMMITTED.contains(name)) {
            return hasChanged ? file.change(session, () -> call(connection, method, arguments)) : call(connection, method, arguments);
        }
        Object answer = call(connection, method, arguments);
        if (answer instanceof Statement statement) {
            String sql = arguments != null && arguments[0] instanceof String text ? text : null;
            return wrapped((Connection) proxy, statement, sql);
        }
        return answer;
    }

    private Object committing(Method method, Object[] arguments) throws Throwable {
        if (!hasChanged) {
            return call(connection, method, arguments);
        }
        Object answer = file.change(session, () -> call(connection, method, arguments));
        hasChanged = false;
        file.write();
        return answer;
    }

    private Statement wrapped(Connection proxy, Statement statement, String sql) {
        StatementGate handler = new StatementGate(proxy, statement, sql);
        if (statement instanceof CallableStatement) {
            return proxy(CallableStatement.class, handler);
        }
        return statement instanceof PreparedStatement ? proxy(PreparedStatement.class, handler) : proxy(Statement.class, handler);
    }

    private static boolean changes(String sql) {
        return !READS.matcher(sql).lookingAt() || CHANGES.matcher(sql).find();
    }

    private void afterChange(String sql) throws SQLException {
        if (connection.isClosed()) {
            // SHUTDOWN: H2 has written everything.
            return;
        }
        if (connection.getAutoCommit() || sql == null || !WAITS_FOR_COMMIT.matcher(sql).lookingAt()) {
            hasChanged = !connection.getAutoCommit();
            file.write();
        }
    }

    /** A statement of this connection. */
    private final class StatementGate implements InvocationHandler {

        private final Connection proxy;
        private final Statement statement;
        /** None for a statement that was not prepared. */
        private final String prepared;

        StatementGate(Connection proxy, Statement statement, String prepared) {
            this.proxy = proxy;
            this.statement = statement;
            this.prepared = prepared;
        }

        @Override
        public Object invoke(Object self, Method method, Object[] arguments) throws Throwable {
            String name = method.getName();
            if (name.equals("getConnection")) {
                return proxy;
            }
            if (!name.startsWith("execute")) {
                return call(statement, method, arguments);
            }
            String sql = arguments != null && arguments[0] instanceof String text ? text : prepared;
            // None: a batch of texts.
            if (sql != null && !changes(sql)) {
                return call(statement, method, arguments);
            }
            hasChanged = true;
            Object answer = file.change(session, () -> call(statement, method, arguments));
            afterChange(sql);
            return answer;
        }
    }
}
