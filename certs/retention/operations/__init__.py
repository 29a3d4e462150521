"""Deleting what is past its term, and erasing what names a person."""

from certs.retention.operations.erasing import NotErased, erase
from certs.retention.operations.purging import purge

__all__ = ["NotErased", "erase", "purge"]
