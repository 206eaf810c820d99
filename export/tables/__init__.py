"""Lists and the order as tables of text."""
