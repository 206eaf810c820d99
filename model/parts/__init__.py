"""The pieces that a fence is made of, one module a kind."""
