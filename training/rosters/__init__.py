"""Who works where, brought in as a file: checked first, applied in one go, undone in one go."""
