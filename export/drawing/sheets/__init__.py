"""Where views go: frames, title blocks, packing."""
