"""Where a person learns and is examined."""
