"""Everything that is not a screen."""
