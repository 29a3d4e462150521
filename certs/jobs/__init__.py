"""Jobs to be crewed: who may do them day by day, and what they take along."""
