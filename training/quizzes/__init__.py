"""Papers, sittings, answers and marks."""
