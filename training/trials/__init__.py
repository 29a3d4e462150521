"""Try the numbers: one shot worked out from what a person types, with nothing kept."""
