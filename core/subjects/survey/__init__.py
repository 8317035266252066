"""The as-built survey: which survey counts, what it measures against the design, its review."""
