"""Writes that a person asks for on a screen. Every refusal comes back as its sentence."""

from dashboard.acts.intake import ImportJob, remember_layout, withdraw
from dashboard.acts.sign_offs import accept_pile, signers

__all__ = ["ImportJob", "accept_pile", "remember_layout", "signers", "withdraw"]
