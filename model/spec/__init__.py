"""What a user may write, as validated and frozen values."""
