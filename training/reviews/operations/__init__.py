"""Correcting keys, and answering appeals: every act in one transaction with its entry in the ledger."""
