"""A spec with every default worked out."""
