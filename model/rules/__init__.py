"""Rule sets as data."""
