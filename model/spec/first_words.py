"""Words that a first spec may be said in; nothing else is loaded with them."""

HEADS = ("square", "clipped", "pointed", "round", "segmental", "pointed-arch", "ogee")
"""Heads that a name alone says."""

GROUNDS = ("level", "slope", "steps")
"""What the ground does, and rails with it."""

WALLS = ("none", "start", "end", "both")
"""Ends of a line that meet a wall."""

SCHEMA_FILE = "palewright-schema.json"
"""Where a spec's first line looks for the schema, beside the spec."""
