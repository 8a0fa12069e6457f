"""The same problem is never solved twice: answers are kept under their problem."""

from dataclasses import dataclass, field
from functools import lru_cache
from importlib import import_module

from planner import codec
from studio import workers

# What needs a solver is answered outside the web process.
OUTSIDE = frozenset({"repertoire", "together"})


def solve(question, problem, *, slow=False):
    """Return planner's answer to `problem` (a frozen dataclass) of the module `question`.

    slow: whether this problem is one of those that are to be answered outside, though others of
    its question are quick. Raises workers.Unsolved where one that is answered outside gets no
    answer; that is not kept.
    """
    if slow or question in OUTSIDE:
        return _outside(question, _Asked(codec.digest(problem), problem))
    return _here(question, problem)


def why_not(asked):
    """Return why there is no `asked.answer`, in words; "" if there is one, which is solved now."""
    try:
        asked.answer  # noqa: B018
    except workers.Unsolved as error:
        return str(error)
    return ""


def forget():
    """Forget all answers."""
    _here.cache_clear()
    _outside.cache_clear()


@dataclass(frozen=True)
class _Asked:
    """A problem that is known by its digest: it may hold what cannot be hashed."""

    digest: str
    problem: object = field(compare=False, repr=False)


@lru_cache(maxsize=4096)
def _here(question, problem):
    return _module(question).answer(problem)


@lru_cache(maxsize=256)
def _outside(question, asked):
    data = workers.ask(question, codec.write(asked.problem), asked.problem.seconds)
    return codec.read(_module(question).Answer, data)


def _module(question):
    return import_module(f"planner.{question}")
