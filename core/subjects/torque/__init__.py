"""Torque: readings through their curves, what counts of them, and what a pile's window gives."""

from core.subjects.torque.events import texts_to_read
from core.subjects.torque.frames import profile
from core.subjects.torque.selection import local_day, runs_until
from core.subjects.torque.tables import PILE_COLUMNS, Inputs, Torque, tables

__all__ = [
    "PILE_COLUMNS",
    "Inputs",
    "Torque",
    "local_day",
    "profile",
    "runs_until",
    "tables",
    "texts_to_read",
]
