"""Commands of certification."""
