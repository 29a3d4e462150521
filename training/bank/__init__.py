"""The bank of questions: their versions, what may be seen of them, and how an answer is read."""
