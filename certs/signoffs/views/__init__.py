"""Pages of the sign-offs room."""
