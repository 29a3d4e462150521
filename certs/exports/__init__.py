"""The register as files for people, and the days of cards as a calendar feed."""
