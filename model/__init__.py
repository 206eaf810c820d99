"""A picket fence as plain values, in rooms that each know only those below them."""
