"""The pages of papers and sittings."""
