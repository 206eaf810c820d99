"""Drawings: what is shown, where it goes, sets of sheets, how they are written."""
