"""Visits of trainers: asked for, accepted or declined; what became of them stands in the records."""
