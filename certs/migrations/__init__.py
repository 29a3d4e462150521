"""Tables of certification, step by step."""
