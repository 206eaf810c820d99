"""Drawings: what is shown, how it is arranged, how it is written."""
