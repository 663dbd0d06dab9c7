"""Schedules: every reader makes the same sheets of cells; what they mean is understood once."""
