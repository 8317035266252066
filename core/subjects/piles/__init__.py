"""Piles themselves: which there are, what is required of them, lengths, loads and resistances."""
