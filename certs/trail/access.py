"""Who reads the ledger."""

from training.keeping.access import keeper

__all__ = ["keeper"]
