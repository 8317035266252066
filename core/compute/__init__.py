"""Numbers worked out: formulas on plain numbers here, measures on frames in ``measures``."""
