"""The suite: a mirror of the source, and journeys, outside checks, laws and faults."""
