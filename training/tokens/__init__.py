"""Secrets that open an answer without signing in, of which a hash is kept, and how often something may be asked."""
