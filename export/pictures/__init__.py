"""Rendered pictures and the ground in them."""
