"""Fit and place: where every word and line goes, in millimetres; no ink here."""
