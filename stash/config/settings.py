"""Settings: everything has a safe default, and the environment may change what NAMES lists."""

from pathlib import Path
from typing import Any

from django.core.exceptions import ImproperlyConfigured

from stash.config.environment import (
    data_folder,
    env_choice,
    env_flag,
    env_hosts,
    env_networks,
    env_text,
    env_time_zone,
    env_token,
    postgresql,
    secret_key,
)

BASE_DIR = Path(__file__).resolve().parent.parent.parent
STASH_DATA = data_folder(BASE_DIR / "data")
PHOTO_DIR = STASH_DATA / "photos"
BACKUP_DIR = Path(env_text("STASH_BACKUPS", str(STASH_DATA / "backups"))).expanduser().absolute()

DEMO = env_flag("STASH_DEMO")
DEBUG = env_flag("STASH_DEBUG")
HTTPS = env_flag("STASH_HTTPS")
# Whose X-Forwarded-For and X-Forwarded-Proto are believed.
PROXIES = env_networks("STASH_PROXIES", "127.0.0.1,::1" if HTTPS else "")
LOG = env_choice("STASH_LOG", ("lines", "json"))
METRICS_TOKEN = env_token("STASH_METRICS_TOKEN")
METRICS_FROM = env_networks("STASH_METRICS_FROM")
SECRET_KEY = secret_key(STASH_DATA / "secret-key")
ALLOWED_HOSTS = ["localhost", "127.0.0.1", "[::1]", *env_hosts("STASH_HOSTS")]
if DEBUG and len(ALLOWED_HOSTS) > 3:
    raise ImproperlyConfigured(
        "STASH_DEBUG shows secrets in its error pages, so it cannot be used with STASH_HOSTS."
    )

# --- what the site is made of ---

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "csp",
    "django_htmx",
    "template_partials",
    "stash.apps.StashConfig",
    "projects.apps.ProjectsConfig",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "stash.config.middleware.same_origin_resources",
    "csp.middleware.CSPMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "stash.trade_words.TradeWordsMiddleware",
    "stash.accounts.middleware.SignInRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "stash.config.middleware.BusyMiddleware",
    "stash.form_keys.FormKeyMiddleware",
]
if LOG == "json" or METRICS_TOKEN or METRICS_FROM:
    MIDDLEWARE.insert(0, "stash.config.requests.RequestsMiddleware")
ROOT_URLCONF = "stash.config.urls"
WSGI_APPLICATION = "stash.config.wsgi.application"
FORM_RENDERER = "stash.rendering.PageRenderer"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "stash.accounts.context.demo",
                "stash.context.preferences",
            ],
            "builtins": ["stash.templatetags.acts"],
        },
    },
]

# --- database: IMMEDIATE because a deferred transaction that has read cannot wait to write ---

DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
SQLITE_JOURNAL = env_choice("STASH_SQLITE_JOURNAL", ("wal", "delete"))
DATABASE_URL = env_text("DATABASE_URL")
DATABASES: dict[str, dict[str, Any]]
if DATABASE_URL:
    if not DATABASE_URL.startswith(("postgres://", "postgresql://")):
        raise ImproperlyConfigured("DATABASE_URL must begin with postgres:// (or be left out).")
    if DEMO:
        raise ImproperlyConfigured("The demo keeps to its own folder; leave DATABASE_URL out.")
    DATABASES = {"default": postgresql(DATABASE_URL)}
    DATABASES["default"].setdefault("OPTIONS", {}).setdefault("options", "-c lock_timeout=20s")
    DATABASES["default"]["OPTIONS"].setdefault("connect_timeout", 10)
else:
    DATABASES = {
        "default": {
            "ENGINE": "django.db.backends.sqlite3",
            "NAME": STASH_DATA / "stash.sqlite3",
            "CONN_MAX_AGE": 600,
            "OPTIONS": {
                "transaction_mode": "IMMEDIATE",
                "timeout": 20,
                # FULL: a cut is physical, so a power cut must not forget the last commit.
                "init_command": "PRAGMA synchronous=FULL; PRAGMA journal_size_limit=67108864;",
            },
        }
    }

# --- photos: a folder of this machine; nothing that is stored there has an address of its own ---

STORAGES = {
    "photos": {"BACKEND": "stash.photos.storage.folder.PhotoFolder"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}

# --- planning: pages wait for a moment and leave longer searches to a thread ---

PLAN_IN_THREADS = True
# Work as projects.cutting counts it: what a quiet core does in about eight seconds.
PLAN_LONGER_WORK = 8_000_000

# --- people ---

LOGIN_URL = "accounts:sign_in"
LOGIN_REDIRECT_URL = "/"
LOGOUT_REDIRECT_URL = "accounts:sign_in"
PASSWORD_MIN_LENGTH = 8
AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": PASSWORD_MIN_LENGTH},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
]
SESSION_ENGINE = "stash.accounts.sessions"
SESSION_COOKIE_AGE = 60 * 60 * 24 * 30

# --- what the browser is told ---

SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_SECURE = HTTPS
CSRF_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_SECURE = HTTPS
CSRF_FAILURE_VIEW = "stash.config.errors.csrf_failure"
SECURE_SSL_REDIRECT = HTTPS
# Asked by programs on the same machine or network, past the proxy; nothing secret is told there.
SECURE_REDIRECT_EXEMPT = [r"^health/$", r"^ready/$", r"^metrics/$"]
SECURE_HSTS_SECONDS = 60 * 60 * 24 * 30 if HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = HTTPS
SECURE_HSTS_PRELOAD = HTTPS
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": ["'self'"],
        # data: for a photo that is shown once and kept nowhere
        "img-src": ["'self'", "blob:", "data:"],
        "object-src": ["'none'"],
        "base-uri": ["'none'"],
        "frame-ancestors": ["'none'"],
        "form-action": ["'self'"],
    }
}

# --- uploads: one photo a request, held in memory so that a killed server leaves no file ---

PHOTO_MAX_BYTES = 25 * 1024 * 1024
REQUEST_MAX_BYTES = PHOTO_MAX_BYTES + 1024 * 1024
FILE_UPLOAD_MAX_MEMORY_SIZE = REQUEST_MAX_BYTES
FILE_UPLOAD_PERMISSIONS = 0o600
DATA_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 5000
DATA_UPLOAD_MAX_NUMBER_FILES = 20

# --- photos are read in processes of their own, within limits ---

READ_PHOTOS_APART = True

# --- static files: found in the apps, no collecting; asked for again after ten minutes ---

STATIC_URL = "/static/"
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = DEBUG
WHITENOISE_MAX_AGE = 600
WHITENOISE_ALLOW_ALL_ORIGINS = False

# --- language, time, log ---

LANGUAGE_CODE = "en-gb"
TIME_ZONE = env_time_zone("STASH_TIME_ZONE")
USE_TZ = True
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {
        "lines": {"format": "{asctime} {levelname} {name}: {message}", "style": "{"},
        "json": {"()": "stash.config.logs.JsonLines"},
    },
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": LOG}},
    "root": {"handlers": ["console"], "level": "WARNING"},
    "loggers": {
        "django": {"handlers": ["console"], "level": "WARNING", "propagate": False},
        "django.request": {"level": "ERROR"},
        # A page of pictures fills the queue for a moment; that is no trouble.
        "waitress.queue": {"level": "ERROR"},
        "stash": {"level": "INFO"},
        "projects": {"level": "INFO"},
    },
}
