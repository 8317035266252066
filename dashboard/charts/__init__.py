"""Figures from frames: plain functions that know words, units and the theme, nothing else."""
