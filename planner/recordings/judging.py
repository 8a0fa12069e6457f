"""One take held against the rules: what it breaks, and what somebody has to look at."""

from collections.abc import Iterator
from datetime import date

from planner.deadlines.wording import dated, listed
from planner.recordings.model import LOOKED_AT, Problem, Refusal, Take, TakeAnswer
from planner.recordings.months import usable_until
from planner.recordings.wording import titles

Broken = Iterator[tuple[str, str]]  # rule, why


class Judge:
    """Judges the takes of one problem."""

    def __init__(self, problem: Problem):
        self.today, self.rules = problem.today, problem.rules
        self.names = {piece.key: piece.name for piece in problem.rules.pieces}

    def take(self, take: Take) -> TakeAnswer:
        """Return how a take stands."""
        until = self.until(take)
        broken = [*self._files(take), *self._order(take), *self._sound(take), *self._age(until)]
        refusals = tuple(Refusal(take.key, rule, why) for rule, why in broken)
        unsure = self._unsure(take)
        look = tuple(rule for rule in LOOKED_AT if rule in unsure and rule not in take.seen)
        sentence = self._sentence(refusals, look, until)
        return TakeAnswer(take.key, not refusals, refusals, look, until, sentence)

    def until(self, take: Take) -> date | None:
        """Return the last day on which a take is not too old, None without a limit."""
        months = self.rules.max_age_months
        return None if months is None else usable_until(take.made_on, months)

    def _files(self, take: Take) -> Broken:
        files, wanted = self.rules.files, self.names
        if files == "not stated":
            return
        if files == "one each" and len(take.pieces) > 1:
            yield "files", "holds several pieces, and a file for each is asked for"
        elif others := len(set(take.pieces) - set(wanted)):
            yield "files", f"holds {others} more than is asked for"
        missing = [piece for piece in self.rules.pieces if piece.key not in take.pieces]
        if files == "one file" and missing:
            yield "files", f"is without {titles(missing)}, and one file is asked for"

    def _order(self, take: Take) -> Broken:
        asked = [piece for piece in self.rules.pieces if piece.key in take.pieces]
        played = [key for key in take.pieces if key in self.names]
        if self.rules.fixed_order and played != [piece.key for piece in asked]:
            yield "order", f"is not in the order asked for, {titles(asked)}"

    def _sound(self, take: Take) -> Broken:
        rules = self.rules
        if rules.unedited and take.edited:
            yield "unedited", "is edited"
        if rules.piano == "with" and take.with_piano is False:
            yield "piano", "is without piano, and piano is asked for"
        if rules.piano == "without" and take.with_piano:
            yield "piano", "is with piano, and none is asked for"
        if rules.video and take.video is False:
            yield "video", "has no picture"
        if rules.video is False and take.video:
            yield "video", "has a picture, and sound alone is asked for"
        most = rules.max_minutes
        if most is not None and take.minutes is not None and take.minutes > most:
            yield "length", f"is longer than {most} minutes"

    def _age(self, until: date | None) -> Broken:
        by = self.rules.due or self.today
        if until is not None and until < by:
            needed = "and it is due" if self.rules.due else "and today is"
            day, day_due = dated(until, self.today), dated(by, self.today)
            yield "age", f"is too old: it could be used until {day}, {needed} {day_due}"

    def _unsure(self, take: Take) -> set[str]:
        """Return the rules that are stated, and of which the take itself does not tell."""
        rules = self.rules
        told = {
            "unedited": not rules.unedited or take.edited is not None,
            "piano": rules.piano not in ("with", "without") or take.with_piano is not None,
            "camera": not rules.camera.strip(),
            "speaking": rules.speaking is None,
            "names": rules.names is None,
            "length": rules.max_minutes is None or take.minutes is not None,
            "video": rules.video is None or take.video is not None,
            "other rules": not rules.form.strip(),
        }
        return {rule for rule, known in told.items() if not known}

    def _sentence(
        self, refusals: tuple[Refusal, ...], look: tuple[str, ...], until: date | None
    ) -> str:
        if refusals:
            whys = "; ".join(f"it {refusal.why}" for refusal in refusals)
            return f"Does not serve: {whys}."
        parts = ["Serves"] if not look else [f"Serves, but look at: {listed(list(look))}"]
        if until is not None:
            parts.append(f"this take may be used until {dated(until, self.today)}")
        return f"{'; '.join(parts)}."
