"""The benchmarks behind `manage.py bench`."""
