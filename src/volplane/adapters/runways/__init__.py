"""The table of runway ends: its compact form, the raw tables it is made of, and where the user's own lies."""
