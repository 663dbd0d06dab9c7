"""The walk that comes back: what was found, what follows from it."""
