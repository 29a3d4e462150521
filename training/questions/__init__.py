"""Questions as data: what they ask, how values are drawn, how answers are marked. Knows no framework."""
