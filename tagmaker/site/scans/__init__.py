"""Scanned codes: where they come from, what each is, whether its port's things belong together."""
