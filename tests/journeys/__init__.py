"""The main job and its unhappy siblings, in Chromium."""
