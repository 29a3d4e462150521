"""Complaints about a certified person, or about how somebody was trained, assessed or treated."""
