"""The answer in sentences, as a teacher would say it."""

from collections.abc import Collection, Sequence

from planner.deadlines.wording import listed
from planner.readiness.words import number
from planner.repertoire.case import Case
from planner.repertoire.model import Impossible, Lack, Plan, Slot
from planner.repertoire.notation import spoken_rules
from planner.repertoire.phrases import spoken_minutes

HOUR = 60
HALVES = 3 * HOUR  # up to here halves of an hour are told

KINDS = {
    "": "a piece",
    "solo": "a solo",
    "etude": "an etude",
    "excerpt": "an excerpt",
    "scales": "scales",
    "other": "other music",
}


def hours(minutes: int) -> str:
    """Return hours as teachers say them: "48 hours", below three "2½ hours"."""
    if 0 < minutes < HOUR // 4:
        return "a few minutes"
    if minutes > HALVES:
        return _hours(str((minutes + HOUR // 2) // HOUR))
    halves = (minutes + HOUR // 4) // (HOUR // 2)
    if halves == 1:
        return "half an hour"
    return _hours(f"{halves // 2}{'½' if halves % 2 else ''}" if halves else "no")


def _hours(figure: str) -> str:
    return f"{figure} hour" if figure == "1" else f"{figure} hours"


def answered(case: Case, plan: Plan, impossible: Collection[Impossible] = ()) -> str:
    """Return the plan in one or two sentences."""
    kept = [audition for audition in case.problem.auditions if audition.kept]
    if not kept:
        return "No audition is kept in the plan, so there is nothing to cover."
    if not plan.pieces and not impossible:
        return "These auditions ask for no pieces, so there is nothing to prepare."
    short = {one.audition for one in impossible}
    names = [audition.name for audition in kept if audition.key in short]
    if not names:
        return f"{_music(plan)}{_proof(plan, _these(len(kept)))}"
    first = f"{listed(names)} cannot be covered in full."
    return f"{first} {_music(plan)}{_proof(plan, 'the rest')}" if plan.pieces else first


def _these(count: int) -> str:
    return f"these {number(count)} auditions" if count > 1 else "this audition"


def _music(plan: Plan) -> str:
    count = len(plan.pieces)
    pieces = f"{number(count).capitalize()} {'piece' if count == 1 else 'pieces'}"
    if not plan.minutes:
        return f"{pieces}, nothing left to prepare"
    return f"{pieces}, {hours(plan.minutes)} still to prepare"


def _proof(plan: Plan, what: str) -> str:
    if plan.proven:
        return f": proven the least that covers {what}."
    if plan.minutes == plan.bound:
        return f": no fewer hours cover {what}, perhaps fewer pieces do."
    step = HOUR if plan.bound > HALVES else HOUR // 2
    least = f". No plan covers {what} in less than {hours(plan.bound // step * step)}"
    return f"{least}; which is the least was not proven within the time."


def asks(slot: Slot, together: Sequence[str] = ()) -> str:
    """Return what a piece for `slot` must be: "an etude, by Mozart or Haydn".

    together: constraints that bind it to other pieces, in words.
    """
    rules = spoken_rules(slot.rules)
    piano = "" if slot.piano == "not stated" else slot.piano
    instrument = f"for {slot.instrument}" if slot.instrument else ""
    parts = [KINDS.get(slot.kind, slot.kind), instrument, piano, rules]
    said = ", ".join(part for part in parts if part)
    return "; ".join([said, *together])


def why_not(
    where: str, lacks: Sequence[Lack], conflict: Sequence[str], over: int, beyond: bool = False
) -> str:
    """Return why `where` cannot be covered, in one sentence.

    conflict: names. over: seconds. beyond: the conflict is one demand for more than it has room
    for.
    """
    reasons = [_lack(lack) for lack in lacks]
    if len(conflict) == 1:
        otherwise = "cannot be met with the pieces at hand"
        reasons.append(
            f"{conflict[0]} {'asks for more than it has room for' if beyond else otherwise}"
        )
    elif conflict:
        reasons.append(f"{listed(list(conflict))} cannot be met together")
    if over:
        reasons.append(f"a limit of length is missed by {_length(over)} at the least")
    return f"{where} cannot be covered: {'; '.join(reasons)}."


def _length(seconds: int) -> str:
    return f"{seconds} seconds" if seconds < 2 * HOUR else f"{spoken_minutes(seconds)} minutes"


def _lack(lack: Lack) -> str:
    if not lack.fitting:
        return f"no piece of the library fits {lack.name}"
    fit = "fits" if lack.fitting == 1 else "fit"
    return f"{lack.name} takes {number(lack.wanted)} pieces, only {number(lack.fitting)} {fit}"
