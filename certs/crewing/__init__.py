"""Who goes to which job on which day: proposed by an optimiser, judged by rules."""
