"""Tables, event store, photo store, procedure files, and in-memory twins of the same ports."""
