"""Marks to ink: the only place that knows reportlab; it knows no box and no label."""
