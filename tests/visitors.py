"""The site as it is deployed, on a port of its own, and visitors who come through a proxy."""

import http.client
import os
import socket
import sys
from urllib.parse import urlencode

HOST = "studio.example"
CSRF = "c" * 32
LIMIT = 60  # seconds until a visitor gives up


def free_port():
    """Return a port that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def deployed(folder, **more):
    """Return the environment of a real site with its files in `folder`; more: what differs."""
    return {
        "PATH": os.environ["PATH"],
        "DJANGO_SETTINGS_MODULE": "studio.settings",
        "RUN_DIR": str(folder),
        "HTTPS": "1",
        "SECRET_KEY": "for tests only, and long enough that nothing has to be said about it: 8f1c",
        "ALLOWED_HOSTS": HOST,
        "SITE_URL": f"https://{HOST}",
        "EMAIL_URL": "dummymail://",
    } | more


def set_up():
    """Set Django up for rows to be made; nobody signs in with a password, so they cost nothing."""
    import django

    django.setup()
    from django.conf import settings

    sys.excepthook = sys.__excepthook__  # whoever runs the test is to read why it failed
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


class Visitor:
    """A browser without a screen: it stays connected and signed in. session: its key, or None."""

    def __init__(self, port, session=None):
        self.port, self.connection = port, None
        cookies = {"__Host-csrf": CSRF} | ({"__Host-session": session} if session else {})
        self.headers = {
            "Host": HOST,
            "Origin": f"https://{HOST}",
            "X-Forwarded-Proto": "https",
            "X-Forwarded-For": "192.0.2.1",
            "Cookie": "; ".join(f"{name}={value}" for name, value in cookies.items()),
        }

    def get(self, url):
        """Return (status, body, headers) of a page; redirects are not followed."""
        return self._ask("GET", url)

    def post(self, url, **fields):
        """Post a form; return what `get` does. Raises OSError, HTTPException where none answers."""
        body = urlencode({"csrfmiddlewaretoken": CSRF} | fields)
        return self._ask("POST", url, body, {"Content-Type": "application/x-www-form-urlencoded"})

    def _ask(self, method, url, body=None, more=None):
        if self.connection is None:
            self.connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=LIMIT)
        try:
            self.connection.request(method, url, body, self.headers | (more or {}))
            response = self.connection.getresponse()
            return response.status, response.read(), response.headers
        except (OSError, http.client.HTTPException):
            self.leave()
            raise

    def leave(self):
        """Close the connection; the next question opens one anew."""
        if self.connection:
            self.connection.close()
        self.connection = None
