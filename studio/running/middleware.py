"""Around every request: the health page before anything else, and the line of the log after."""

import logging
import secrets
import time

from django.core.exceptions import BadRequest
from django.middleware.security import SecurityMiddleware
from django.urls import reverse

from studio.running.logs import request_id
from studio.running.views import health

log = logging.getLogger(__name__)


class HealthMiddleware:
    """Answer the health page whatever Host and scheme are: proxies ask with their own."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        if request.path_info == reverse("health"):
            return SecurityMiddleware(health).process_response(request, health(request))
        return self.get_response(request)


class PlainMiddleware:
    """Refuse a zero byte in an address: no text of ours has one, and PostgreSQL takes none."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        if "\x00" in request.path_info or "%00" in request.META.get("QUERY_STRING", ""):
            raise BadRequest("a zero byte in the address")
        return self.get_response(request)


class LogMiddleware:
    """Give every request a number, and write one line about it: the route, never the address."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        began, token = time.perf_counter(), request_id.set(secrets.token_hex(8))
        try:
            response = self.get_response(request)
            response["X-Request-ID"] = request_id.get()
            log.info("request", extra=told(request, response, time.perf_counter() - began))
            return response
        finally:
            request_id.reset(token)


def told(request, response, seconds):
    """Return what is logged of a request."""
    match, who = request.resolver_match, getattr(request, "who", None)
    return {
        "method": request.method if request.method in METHODS else "other",
        "route": match.view_name if match else None,
        "status": response.status_code,
        "ms": round(seconds * 1000),
        "studio": who.studio_id if who else None,
    }


METHODS = {"GET", "HEAD", "POST", "OPTIONS", "PUT", "PATCH", "DELETE"}
