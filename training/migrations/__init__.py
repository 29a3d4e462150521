"""Tables of learning and examination, step by step."""
