"""Torque: readings through their curves, what counts of them, and what a pile's window gives."""
