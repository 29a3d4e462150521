"""Our signed files read by libraries of another language."""
