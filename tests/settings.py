"""Settings of the test run: the real ones, with what a test must not wait for taken out."""

import os
import tempfile
from pathlib import Path

FOLDER = Path(tempfile.mkdtemp(prefix="ferrule-test-"))
(FOLDER / "static").mkdir()  # nothing is collected for tests, but the server of static files looks for its folder
os.environ.setdefault("FERRULE_SECRET_KEY", "only for tests, and long enough to please every check there is 0123456789")
os.environ.setdefault("FERRULE_FACTOR_KEY", "b25seSBmb3IgdGhlIHRlc3RzIG9mIHRoaXMgc2l0ZS4=")
os.environ.setdefault("FERRULE_HOSTS", "testserver,localhost,127.0.0.1")
os.environ.setdefault("FERRULE_PLAIN_HTTP", "1")
os.environ.setdefault("FERRULE_SITE_URL", "https://cards.example.org")
os.environ["FERRULE_DATA_DIR"] = str(FOLDER)

from training.config.settings import *  # noqa: E402, F403
from training.config.settings import DATABASES, LOGGING, STORAGES  # noqa: E402

# Chromium talks plain HTTP to the test server, where cookies marked Secure would be dropped.
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = False
SESSION_COOKIE_NAME, CSRF_COOKIE_NAME, WHO_COOKIE_NAME = "session", "csrf", "who"
SECURE_HSTS_SECONDS = 0
STORAGES["staticfiles"] = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
LOGGING["loggers"]["ferrule"]["level"] = "WARNING"  # a line a request would bury what a test has to say
EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
# Tests empty their tables between one another; those of the guards put them up themselves.
APPEND_ONLY = False
if "sqlite3" in str(DATABASES["default"]["ENGINE"]):
    # A file, not memory: threads of one test must meet each other's locks. The disk need not be waited for.
    DATABASES["default"]["TEST"] = {"NAME": str(FOLDER / "test.sqlite3")}
    DATABASES["default"]["OPTIONS"]["init_command"] = "PRAGMA synchronous=OFF;PRAGMA foreign_keys=ON;"
