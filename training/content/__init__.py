"""Files of content read into frozen specs, every mistake reported at once. Knows no framework."""
