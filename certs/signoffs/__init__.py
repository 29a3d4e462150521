"""Practical sign-off at the trackside, and the decision that follows it."""
