"""Formulas on plain numbers and arrays; which rows they take is chosen in ``selection``."""
