"""The catalogue's tables: a row a computation, its mistakes below it."""
