"""The photo of a holder for their card: put up with consent, seen by few, gone when the consent is."""
