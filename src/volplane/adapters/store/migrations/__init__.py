"""The migrations: one module a released schema, in `versions`."""
