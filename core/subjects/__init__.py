"""Subjects: what is measured about piles, each measure declared once on columns of rows."""
