"""HTTP: one file per resource, its schemas above its routes, one error handler."""
