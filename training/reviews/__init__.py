"""Keys found wrong and marks asked about: what changes, who decides, and the old mark beside the new."""
