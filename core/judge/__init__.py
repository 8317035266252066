"""Measures held against criteria: findings, one state a pile, outstanding items. No SQL, no clock."""
