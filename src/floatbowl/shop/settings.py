"""How the pages run: one app, one SQLite file, nothing fetched from elsewhere."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from csp.constants import NONE, SELF

from floatbowl.shop.places import database_path, photographs_path, secret_key, time_zone

HERE = Path(__file__).parent
DATABASE = database_path()
#: Photographs are files in this folder, reached only through the pages.
PHOTOGRAPHS = photographs_path(DATABASE)

DEBUG = False
SECRET_KEY = secret_key(DATABASE)
ROOT_URLCONF = "floatbowl.shop.urls"
WSGI_APPLICATION = "floatbowl.shop.wsgi.application"
#: Names other machines in the building call this one by, separated by commas.
ALLOWED_HOSTS = ["localhost", "127.0.0.1", "[::1]", *filter(None, os.environ.get("FLOATBOWL_HOSTS", "").split(","))]

INSTALLED_APPS = ["floatbowl.shop", "django.contrib.staticfiles"]
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "floatbowl.shop.security.bounded_upload",
    "floatbowl.shop.security.careful_headers",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "floatbowl.shop.security.know_who",
    "floatbowl.shop.way_back.page_instead",
]

TEMPLATES: list[dict[str, Any]] = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [HERE / "templates", *sorted((HERE / "pages").glob("*/templates"))],
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.messages.context_processors.messages",
                "floatbowl.shop.security.who_context",
            ],
        },
    }
]

# IMMEDIATE takes the write lock when a transaction starts, so that writers queue instead of failing half-way.
# synchronous FULL with a write-ahead log keeps a committed transaction through kill -9 and through a power cut.
DATABASES = {
    "default": {
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": DATABASE,
        # Opening the file anew for every request, and emptying the log when the last connection closes, took 28 ms.
        "CONN_MAX_AGE": None,
        "OPTIONS": {
            "transaction_mode": "IMMEDIATE",
            "timeout": 60,
            "init_command": "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; PRAGMA cache_size = -65536",
        },
    }
}
CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}

STATIC_URL = "/static/"
# The light over a relief is the same script here as on the page that ``floatbowl relief`` writes.
STATICFILES_DIRS = [("floatbowl/photo", HERE.parent / "photo" / "page")]
STATICFILES_FINDERS = [
    "django.contrib.staticfiles.finders.AppDirectoriesFinder",
    "django.contrib.staticfiles.finders.FileSystemFinder",
]
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = False

LANGUAGE_CODE = "en-gb"
USE_I18N = False
USE_TZ = True
TIME_ZONE = time_zone()

MESSAGE_STORAGE = "django.contrib.messages.storage.cookie.CookieStorage"

# The pages are served in the building over plain http, so cookies cannot be marked Secure.
SESSION_COOKIE_HTTPONLY = True
CSRF_COOKIE_HTTPONLY = True
CSRF_COOKIE_SAMESITE = "Strict"
CSRF_FAILURE_VIEW = "floatbowl.shop.security.form_refused"
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF],
        "font-src": [SELF],
        "connect-src": [SELF],
        "manifest-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
    }
}

#: Photographs are read in a thread of their own, so that no page waits for it; tests read them at once.
PHOTOGRAPHS_BEHIND_THE_PAGE = True

#: The largest request the pages take, in bytes; larger ones are refused before their body is read.
UPLOAD_LIMIT = 10 * 1024 * 1024
DATA_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024
FILE_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 2000

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "{asctime} {levelname} {name}: {message}", "style": "{"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
    "loggers": {
        "floatbowl": {"level": "INFO"},
        "django.request": {"level": "ERROR"},  # A form sent back with its faults is no event.
        "django": {"handlers": ["console"], "level": "WARNING", "propagate": False},
    },
}
