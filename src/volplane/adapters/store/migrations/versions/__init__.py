"""The released schemas, oldest first; a released one is never changed again."""
