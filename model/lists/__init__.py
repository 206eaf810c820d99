"""What a fence is made of and where it is set out."""
