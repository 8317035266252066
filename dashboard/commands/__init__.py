"""Writes that a person asks for on a screen. Every refusal comes back as its sentence."""

from dashboard.commands.importing import ImportJob, remember_layout, withdraw
from dashboard.commands.sign_offs import accept_pile, signers
from dashboard.commands.steel import (
    attach_certificate,
    lift_quarantine,
    put_in_quarantine,
    read_again,
)

__all__ = [
    "ImportJob",
    "accept_pile",
    "attach_certificate",
    "lift_quarantine",
    "put_in_quarantine",
    "read_again",
    "remember_layout",
    "signers",
    "withdraw",
]
