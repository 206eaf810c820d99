"""Wind, timber, fixings and ground, step by step."""
