"""The store: one schema in a file of this machine (SQLite) or on a database server (PostgreSQL)."""
