"""The gap plan: whom to bring to which card, and when a trainer comes, so that the jobs ahead are possible."""
