"""Safe keeping: what the database promises, copies of it that are proved, the way back, and rows written once."""
