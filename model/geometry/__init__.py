"""Outlines, frames and the shapes of parts, with volumes in closed form."""
