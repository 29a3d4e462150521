"""Mail that is written down before it leaves."""
