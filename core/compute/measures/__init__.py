"""Measures: numbers about each pile, one column each, from frames of standing rows."""
