"""Solving outside the web process: a few processes of the engine that answer line by line.

A solver with all its memory then neither blocks nor takes along a web process, and a question
that takes too long can be cut off. Each web process has workers of its own, begun when the first
question comes; they end with it.
"""

import atexit
import json
import os
import queue
import signal
import subprocess
import sys
import threading
from contextlib import suppress

from django.conf import settings

ENGINE = (sys.executable, "-m", "planner", "--serve")
MARGIN = 20  # seconds for what a question takes besides one solve to its time limit

TOO_LONG = (
    "The plan took too long and was cut off. Leave an audition out of the plan, or ask again later."
)
BUSY = "Others are being planned just now. Ask again in a minute."
STOPPED = "The plan could not be worked out: the solver stopped. Ask again."


class Unsolved(Exception):
    """There is no answer. Its text is for the page, and says what to do."""


class Pool:
    """At most so many workers that run `command`; each answers one question at a time.

    A worker reads one JSON line {"question", "problem"} from its stdin and writes one JSON line,
    {"answer"} or {"error"}. What it writes to stderr goes where that of this process goes.
    """

    def __init__(self, command, workers=1):
        self.workers = [_Worker(command) for _ in range(workers)]
        self._line_up()

    def _line_up(self):
        self._idle = queue.LifoQueue()  # the worker used last is the one that runs already
        for worker in reversed(self.workers):
            self._idle.put(worker)

    def ask(self, question, problem, limit):
        """Return the answer to `problem`, both as JSON has them.

        limit: seconds to wait for a worker, and then for its answer. Raises Unsolved; a worker
        that was cut off or has died is replaced.
        """
        try:
            worker = self._idle.get(timeout=limit)
        except queue.Empty:
            raise Unsolved(BUSY) from None
        try:
            reply = worker.ask({"question": question, "problem": problem}, limit)
        finally:
            self._idle.put(worker)
        if "answer" not in reply:
            raise Unsolved(f"The plan could not be worked out: {reply['error'].rstrip('.')}.")
        return reply["answer"]

    def close(self):
        """End the workers; the next question begins them again."""
        for worker in self.workers:
            worker.stop()

    def begin_anew(self):
        """Leave workers and pipes to the process that this one was forked from."""
        for worker in self.workers:
            worker.let_go()
        self._line_up()


class _Worker:
    """One process, begun when it is first asked, and again after it has ended."""

    def __init__(self, command):
        self.command = command
        self.process = None

    def ask(self, request, limit):
        cut, reply = _Cut(self._running(), limit), None
        try:
            with cut as process:
                process.stdin.write(json.dumps(request).encode() + b"\n")
                process.stdin.flush()
                reply = json.loads(process.stdout.readline())
        except (OSError, ValueError):  # it has died, or what it wrote is no answer
            raise Unsolved(TOO_LONG if cut.done else STOPPED) from None
        finally:
            if reply is None or cut.done:
                self.stop()  # an answer that comes later would be taken for the next one's
        return reply

    def _running(self):
        if self.process is None or self.process.poll() is not None:
            self.stop()
            self.process = subprocess.Popen(  # noqa: S603 - our own command, no shell
                self.command,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                cwd=settings.BASE_DIR,
                env=_environment(),
                start_new_session=True,  # Ctrl-C in the terminal is for the web process
            )
        return self.process

    def stop(self):
        process, self.process = self.process, None
        if process is not None:
            _kill(process)
            _close(process)

    def let_go(self):
        process, self.process = self.process, None
        if process is not None:
            _close(process)
            process.poll()  # no child of ours: nobody has to wait for it


class _Cut:
    """Kill `process` if the block takes longer than `limit` seconds; `done`: it was killed."""

    def __init__(self, process, limit):
        self.process, self.done = process, False
        self._timer = threading.Timer(limit, self._cut)
        self._timer.daemon = True

    def __enter__(self):
        self._timer.start()
        return self.process

    def __exit__(self, *_):
        self._timer.cancel()
        self._timer.join()

    def _cut(self):
        self.done = True
        _kill(self.process)


def _kill(process):
    if process.poll() is None:
        with suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGKILL)  # with its children: they hold the pipe open
        process.wait()


def _close(process):
    process.stdin.raw.close()  # raw: what was not written yet has nobody to read it
    process.stdout.raw.close()


def _environment():
    kept = {name: os.environ[name] for name in ("PATH", "LD_LIBRARY_PATH") if name in os.environ}
    return kept | {"PYTHONTZPATH": "", "PYTHONUTF8": "1", "OMP_NUM_THREADS": "1"}


POOL = Pool(ENGINE, settings.SOLVER_WORKERS)
atexit.register(POOL.close)
os.register_at_fork(after_in_child=POOL.begin_anew)


def ask(question, problem, seconds):
    """Return the engine's answer as JSON has it; seconds: the time limit of each solve in it."""
    return POOL.ask(question, problem, seconds + MARGIN)
