"""Who did what to which record: the ledger as pages."""
