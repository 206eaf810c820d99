"""How drawings are written, one module a format."""
