"""Sets of sheets, one for each reader."""
