"""Practice questions, one at a time, with the working after each answer. Never a mark."""
