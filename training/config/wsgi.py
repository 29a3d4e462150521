"""The WSGI callable for gunicorn."""

import os

import training.config.sqlite  # noqa: F401  must come before anything opens a database

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "training.config.settings")

from django.core.wsgi import get_wsgi_application

application = get_wsgi_application()
