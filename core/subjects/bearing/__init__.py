"""Static bearing of helices in the nearest borehole: for information, no state rests on it."""
