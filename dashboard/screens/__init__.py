"""The screens: each asks `data`, calls charts and lays them out. No arithmetic, no limits."""
