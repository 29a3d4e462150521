"""The public check of a card, with and without a signal, and the signed lists it needs."""
