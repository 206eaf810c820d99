"""Files that are made from a fence."""
