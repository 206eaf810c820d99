"""What all rooms stand on: units, texts, errors, findings."""
