"""Where a person is certified and checked."""
