"""Calculation questions that trainers write on the site: drafts, their check, versions in use."""
