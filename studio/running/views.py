"""The health page."""

import logging

from django.contrib.auth.decorators import login_not_required
from django.http import HttpResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from studio.running.health import wrong

log = logging.getLogger(__name__)


@never_cache
@require_safe
@login_not_required
def health(request):
    """Say ok, or (503) what is wrong. It holds nothing else, so anybody may ask."""
    found = wrong()
    if found:
        log.error("not healthy: %s", ", ".join(found))
    return HttpResponse(
        "\n".join(found or ["ok"]) + "\n",
        content_type="text/plain; charset=utf-8",
        status=503 if found else 200,
    )
