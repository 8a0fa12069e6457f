"""One audition: from its pieces to its figure, its day and its sentence."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from math import prod

from .model import Audition, AuditionReadiness, PieceReadiness, Problem, Slot, SlotReadiness
from .pieces import Heard
from .words import day, days, in_hand, number, points


@dataclass(frozen=True, slots=True)
class _View:
    """One audition with its pieces in order and the weight of each (they and `empty` sum to 1)."""

    audition: Audition
    heard: Mapping[str, Heard]
    weights: Mapping[str, float]
    problem: Problem

    @property
    def answers(self) -> list[PieceReadiness]:
        return [self.heard[key].answer for key in self.weights]

    @property
    def complete(self) -> bool:
        """Every slot has all its pieces, and there is a slot."""
        slots = self.audition.slots
        return bool(slots) and all(slot.pieces and not slot.lacking for slot in slots)

    def at(self, on: date) -> tuple[float | None, float]:
        """The figure of that day and the share of the weight it rests on."""
        total = covered = 0.0
        for key, weight in self.weights.items():
            value = self.heard[key].at(on, self.problem.settings)
            if value is not None:
                total += weight * value
                covered += weight
        if not covered:
            return None, 0.0
        return min(total / covered, 100.0), min(covered, 1.0)


def judge(audition: Audition, heard: Mapping[str, Heard], problem: Problem) -> AuditionReadiness:
    """Put the pieces of one audition together."""
    view = _View(audition, heard, _weights(audition), problem)
    now, covered = view.at(problem.today)
    ready_on, earliest, latest = _days(view)
    past = audition.on is not None and audition.on < problem.today
    dated = audition.on is not None and not past
    spare = (audition.on - ready_on).days if dated and ready_on else None
    slowest = _slowest(view)
    short_by = _short_by(view) if dated else 0
    lost = [piece for piece in view.answers if piece.known == "not gaining"]
    unknown = _unknown(view)
    clause, short = _verdict(view, ready_on, spare, short_by, lost)
    return AuditionReadiness(
        key=audition.key,
        name=audition.name,
        on=audition.on,
        now=now,
        covered=covered,
        ready_on=ready_on,
        earliest=earliest,
        latest=latest,
        days_in_hand=spare,
        late=dated and bool(short_by or lost),
        chance=_chance(view) if dated else None,
        slowest=slowest.key if slowest else None,
        history=_history(view),
        forecast=() if past else _forecast(view, now),
        unknown=unknown,
        sentence=_sentence(view, now, covered, clause, slowest, unknown),
        short=short,
        slots=_slots(view, dated),
    )


def _weights(audition: Audition) -> dict[str, float]:
    whole = sum(slot.weight for slot in audition.slots)
    weights: dict[str, float] = {}
    for slot in audition.slots:
        for key in slot.pieces:
            share = slot.weight / whole / (len(slot.pieces) + slot.lacking)
            weights[key] = weights.get(key, 0.0) + share
    return weights


def _days(view: _View) -> tuple[date | None, date | None, date | None]:
    """ready_on, earliest, latest: each the latest of the pieces' own, None if one has none."""
    if not view.complete or any(piece.ready_on is None for piece in view.answers):
        return None, None, None
    found = [(piece.ready_on, piece.earliest, piece.latest) for piece in view.answers]
    return tuple(None if None in column else max(column) for column in zip(*found, strict=True))


def _short_by(view: _View) -> int:
    """Days by which the slowest piece with a date misses the audition; 0 if none does."""
    over = [(piece.ready_on - view.audition.on).days for piece in view.answers if piece.ready_on]
    return max(0, max(over, default=0))


def _chance(view: _View) -> float | None:
    """Chance that every piece is ready with ease before the day, as if they were independent."""
    if not view.complete:
        return None
    on = with_ease(view.audition.on, view.problem)
    chances = [view.heard[key].chance(on) for key in view.weights]
    return None if None in chances else prod(chances)


def with_ease(on: date, problem: Problem) -> date:
    """The day by which pieces are to be ready for a day, not before today."""
    return max(problem.today, on - timedelta(days=problem.settings.ease_days))


def _slots(view: _View, dated: bool) -> tuple[SlotReadiness, ...]:
    return tuple(
        _slot(replace(view, audition=alone, weights=_weights(alone)), slot, dated)
        for slot in view.audition.slots
        for alone in [replace(view.audition, slots=(slot,))]
    )


def _slot(view: _View, slot: Slot, dated: bool) -> SlotReadiness:
    slowest = _slowest(view)
    return SlotReadiness(
        slot.name,
        *view.at(view.problem.today),
        *_days(view),
        chance=_chance(view) if dated else None,
        slowest=slowest.key if slowest else None,
    )


def _slowest(view: _View) -> PieceReadiness | None:
    """The piece to see to first: not gaining, else the latest day, else the lowest figure."""
    open_pieces = [p for p in view.answers if p.known not in ("ready", "no checks")]
    if not open_pieces:
        return None
    stuck = [piece for piece in open_pieces if piece.known == "not gaining"]
    dated = [piece for piece in open_pieces if piece.ready_on]
    if stuck or not dated:
        return min(stuck or open_pieces, key=lambda piece: piece.now)
    return max(dated, key=lambda piece: piece.ready_on)


def _history(view: _View) -> tuple[tuple[date, float], ...]:
    moments = {on for piece in view.answers for on, _ in piece.history}
    if not moments:
        return ()
    moments.add(view.problem.today)
    return tuple((on, view.at(on)[0]) for on in sorted(moments))


def _forecast(view: _View, now: float | None) -> tuple[tuple[date, float], ...]:
    """From today in straight lines to the last known day; pieces without one stay as they are."""
    today, goal = view.problem.today, view.problem.settings.ready_at
    checked = [piece for piece in view.answers if piece.now is not None]
    moving = [piece for piece in checked if piece.known == "forecast"]
    if not moving:
        return ()
    covered = sum(view.weights[piece.key] for piece in checked)
    forecast = [(today, now)]
    for on in sorted({piece.ready_on for piece in moving}):
        total = 0.0
        for piece in checked:
            value = piece.now
            if piece.known == "forecast" and value < goal:
                part = (on - today).days / (piece.ready_on - today).days
                value += (goal - value) * min(part, 1.0)
            total += view.weights[piece.key] * value
        forecast.append((on, min(total / covered, 100.0)))
    return tuple(forecast)


_UNKNOWN = {
    "no checks": "not checked yet",
    "one check": "only one check, no pace yet",
    "stale": "no forecast until it is heard again",
}


def _unknown(view: _View) -> tuple[str, ...]:
    audition = view.audition
    gaps = [_to_choose(slot) for slot in audition.slots if slot.lacking or not slot.pieces]
    if not audition.slots:
        gaps.append("What it asks for is not set yet.")
    for piece in view.answers:
        reason = _UNKNOWN.get(piece.known)
        if piece.known == "one check" and len(piece.history) > 1:
            reason = "checks too close together, no pace yet"
        if reason:
            gaps.append(f"{piece.name}: {reason}.")
        if view.heard[piece.key].memory_missing:
            gaps.append(f"{piece.name}: memory not checked yet.")
    return tuple(gaps)


def _to_choose(slot: Slot) -> str:
    if not slot.pieces:
        return f"{slot.name}: no piece chosen yet."
    more = f"{number(slot.lacking)} more {'piece' if slot.lacking == 1 else 'pieces'}"
    return f"{slot.name}: {more} to choose."


def _verdict(
    view: _View, ready_on: date | None, spare: int | None, short_by: int, lost: list
) -> tuple[str, str]:
    """The sentence about time, and the same for a margin."""
    on, today = view.audition.on, view.problem.today
    if on is not None and on < today:
        return "The day has passed.", "past"
    if lost:
        return f"On this pace {_names(lost)} won't be ready.", "not on this pace"
    if ready_on is None and short_by:
        return f"At least {days(short_by)} short.", f"at least {in_hand(-short_by)}"
    if ready_on is None and not view.complete and view.audition.slots:
        return "Not all of it is chosen yet.", "not all chosen" if on else "no date chosen"
    if ready_on is None:
        return "The pace is not known yet.", "pace not known yet" if on else "no date chosen"
    subject = _all(len(view.weights))
    if all(piece.known == "ready" for piece in view.answers):
        left = f", {days(spare)} in hand" if spare else ""
        return f"{subject[0].upper()}{subject[1:]} ready{left}.", "ready"
    by = f"On this pace {subject} ready by {day(ready_on, today)}"
    if spare is None:
        return f"{by}; no date is chosen yet.", "no date chosen"
    if spare == 0:
        return f"{by}, the day itself.", in_hand(0)
    return f"{by}, {days(abs(spare))} {'in hand' if spare > 0 else 'short'}.", in_hand(spare)


def _all(count: int) -> str:
    if count == 1:
        return "the one piece is"
    return "both pieces are" if count == 2 else f"all {number(count)} pieces are"


def _names(pieces: list[PieceReadiness]) -> str:
    names = [piece.name for piece in pieces[:3]]
    if len(pieces) > 3:
        names[2] = f"{number(len(pieces) - 2)} more pieces"
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _sentence(
    view: _View,
    now: float | None,
    covered: float,
    clause: str,
    slowest: PieceReadiness | None,
    unknown: tuple[str, ...],
) -> str:
    if now is None:
        return " ".join(["Nothing checked yet.", *unknown[:2]])
    parts = [f"{points(now)} of 100 ready."]
    if covered < 1 - 1e-9:
        parts = [f"{points(now)} of 100 ready, on {points(100 * covered)} % of what is asked."]
    parts.append(clause)
    if slowest is not None and clause != "The day has passed.":
        label = "Slowest: " if len(view.weights) > 1 else ""
        parts.append(f"{label}{slowest.name}, {slowest.limit_sentence}.")
    elif unknown:
        parts.append(unknown[0])
    return " ".join(parts)
