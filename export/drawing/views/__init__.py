"""What each view shows."""
