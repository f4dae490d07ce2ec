"""Many orders at once: read (gather), made (work) by whatever executor (run), kept and told (keep, stores, page)."""
