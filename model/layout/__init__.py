"""Where posts, bays, openings, rails and pales stand."""
