"""Commands of learning and examination."""
