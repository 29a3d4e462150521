"""Who may make a gap plan, and for which employers: those who may ask for visits."""

from certs.visits.access import employers_asking_by

__all__ = ["employers_asking_by"]
