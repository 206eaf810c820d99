"""Letters that word processors and keyboards put in the place of plain ones."""

CURLY = "“”„‟″«»"
"""Double quotes that are none in TOML."""

CURLY_SINGLE = "‘’‚‛′"
"""Single quotes that are none in TOML."""

BLANKS = "\u00a0\u2007\u202f\u2009\u200a\u3000"
"""Blanks that are none in TOML."""

NOTHING = "\u200b\u200c\u200d\u2060\ufeff"
"""Letters of no width."""

MINUS = "−–—"
"""Dashes that are no minus."""

TIMES = "×"

FRACTION = "⁄"
"""What stands between the halves of ½ when it is written out."""

PLAIN = str.maketrans(
    dict.fromkeys(CURLY, '"') | dict.fromkeys(CURLY_SINGLE, "'") | dict.fromkeys(BLANKS, " ")
    | dict.fromkeys(NOTHING, "") | dict.fromkeys(MINUS, "-") | {TIMES: "x", FRACTION: "/"}
)  # fmt: skip
"""Turns each into the plain letter."""
