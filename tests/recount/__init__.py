"""A second count of a whole season, written from the design pages alone: it takes over nothing of Rowfoot's rules."""
