"""Short drills between renewals: advice to the person alone, never a mark, and no card hangs on them."""
