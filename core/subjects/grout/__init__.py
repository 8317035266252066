"""Grout: lifts and their take, gaps between lifts, batches, samples, work near fresh grout."""
