"""Places to put cloth: kept, looked through, cleared away."""
