"""How gunicorn serves the site: `gunicorn -c python:studio.running.serving studio.wsgi`.

Threads, because a plan may take half a minute: it is worked out in a process of its own (see
workers.py), and whoever waits for it keeps one thread, not everybody else.
"""

import os

from gunicorn.glogging import Logger

from studio.running.logs import JsonFormatter

bind = os.environ.get("BIND", "127.0.0.1:8000")
workers = int(os.environ.get("WEB_WORKERS", "2"))
worker_class = "gthread"
threads = 4
timeout = 60  # seconds without a sign of life until a worker is replaced; no limit of a request
graceful_timeout = 40  # longer than the longest plan
max_requests, max_requests_jitter = 5_000, 500
control_socket_disable = True
worker_tmp_dir = "/dev/shm" if os.path.isdir("/dev/shm") else None  # noqa: S108, PTH112


class JsonLogger(Logger):
    """gunicorn's own log in the site's way; it would tell addresses and texts of errors."""

    def setup(self, cfg):
        """Set the log up."""
        super().setup(cfg)
        for handler in self.error_log.handlers:
            handler.setFormatter(JsonFormatter())


logger_class = JsonLogger


def post_worker_init(worker):
    """Load the pages before the first visitor comes: it takes a second or two."""
    from django.urls import get_resolver

    get_resolver().url_patterns  # noqa: B018
