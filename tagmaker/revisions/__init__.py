"""Issued sets: what is kept of one, what of it is on site, and what the next revision asks for there."""
