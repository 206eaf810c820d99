"""The table of outputs, and how they are made and written."""
