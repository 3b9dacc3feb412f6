"""The site as a WSGI application, which believes the proxies that the settings list."""

import os

from django.conf import settings
from django.core.wsgi import get_wsgi_application

from stash.config.proxies import BehindProxies

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "stash.config.settings")

application = BehindProxies(get_wsgi_application(), settings.PROXIES)
