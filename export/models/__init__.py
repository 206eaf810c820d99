"""Solids and meshes, one module a format."""
