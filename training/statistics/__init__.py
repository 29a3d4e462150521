"""Classical statistics of papers and questions: pure functions on arrays, a module a subject."""
