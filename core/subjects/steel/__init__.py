"""Steel: strings, the trace of every piece of it, lots, remnants and the register of deliveries."""
