"""Texts to modules, and rasters back to texts; the only place that knows the code libraries."""
