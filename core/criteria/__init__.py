"""What a criterion is made of: its parameters, cases, outcomes and kinds of finding.

The criteria themselves stand with their subjects: ``core/subjects/<subject>/rules.py``.
"""
