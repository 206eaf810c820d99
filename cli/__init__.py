"""How a person asks: commands, messages and exit codes."""
