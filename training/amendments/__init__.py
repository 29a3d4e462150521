"""Amendments: trainers revise a procedure on the site, a second person puts the revision in force."""
