"""Measures held against criteria: findings, one state a pile, items. No SQL, no clock."""
