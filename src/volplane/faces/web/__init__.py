"""The workbench in the browser: two pages drawn on the server, a small client that only adds what the hand does."""
