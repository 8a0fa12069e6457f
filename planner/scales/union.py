"""What the scales of several auditions come to: each to be learned once, at its most demanding."""

from dataclasses import dataclass

from planner import keys
from planner.clauses import COUNTS
from planner.deadlines.wording import listed
from planner.scales.demand import FORMS, Keys, ScaleDemand, Sort
from planner.scales.words import SORTS, enough, octaves, spoken_keys, tempo

Asked = tuple[tuple[str, ScaleDemand], ...]


@dataclass(frozen=True)
class Row:
    """One sort of scale. scales: all that is asked of it, in words. asked_by: (who, what it asks
    of it), in the order given.
    """

    title: str
    scales: str
    asked_by: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Union:
    """The union of several demands. rows: by sort, the chromatic scale last.

    demands: what holds for all of them (tempo, memory). differences: where those who ask disagree
    on how to play, in a sentence each.
    """

    rows: tuple[Row, ...]
    demands: tuple[str, ...]
    differences: tuple[str, ...]


def union(asked: Asked) -> Union:
    """Return the union of what is `asked`: (who, demand) each, who asks in words."""
    rows = [row for sort in Sort if (row := _row(sort, asked))]
    if chromatic := _chromatic(asked):
        rows.append(chromatic)
    return Union(tuple(rows), tuple(_demands(asked)), tuple(_differences(asked)))


def _row(sort: Sort, asked: Asked) -> Row | None:
    found = [(who, one, demand) for who, demand in asked for one in demand.keys if one.sort is sort]
    if not found:
        return None
    merged = _merged(sort, [one for _, one, _ in found])
    words = spoken_keys(merged)
    if reach := _reach(merged, [(one, demand) for _, one, demand in found]):
        words += f", {reach}"
    if sort is Sort.MINOR and (forms := _forms(asked)):
        words += f"; the {listed(forms)} will do where it is learned anyhow"
    each = tuple((who, _own(one, demand)) for who, one, demand in found)
    return Row(SORTS[sort].capitalize(), words, each)


def _own(one: Keys, demand: ScaleDemand) -> str:
    reach = _reach(one, [(one, demand)])
    return spoken_keys(one) + (f", {reach}" if reach else "")


def _merged(sort: Sort, every: list[Keys]) -> Keys:
    most = max((one.most for one in every if one.most is not None), default=None)
    base = Keys(sort, most) if most is not None else None
    tonics = {tonic for one in every for tonic in one.every}
    if base and {keys.pitch(tonic) for tonic in tonics} <= base.pitches:
        return base
    if len({keys.pitch(tonic) for tonic in tonics}) == 12:
        return Keys(sort, keys.MOST)
    return Keys(sort, None, tuple(sorted(tonics, key=keys.fifths)))


def _reach(merged: Keys, found: list[tuple[Keys, ScaleDemand]]) -> str:
    """Return the octaves, each key at its most: "two octaves, three in C"."""
    most: dict[str, int] = {}
    for one, demand in found:
        for tonic in one.every:
            if (number := demand.octaves_of(tonic)) is not None:
                most[tonic] = max(number, most.get(tonic, 0))
    if not most:
        return ""
    numbers = list(most.values())
    usual = max(sorted(set(numbers)), key=numbers.count)
    said = [octaves(usual) if len(most) == len(merged.every) or len(set(numbers)) > 1 else ""]
    for number in sorted(set(numbers) - {usual}):
        there = [tonic for tonic in merged.every if most.get(tonic) == number]
        said.append(f"{COUNTS[number]} in {listed(there)}" if there else "")
    return ", ".join(filter(None, said)) or octaves(usual)


def _forms(asked: Asked) -> list[str]:
    there = {one.sort for _, demand in asked for one in demand.keys}
    return [SORTS[sort] for sort in FORMS if sort in there]


def _chromatic(asked: Asked) -> Row | None:
    found = [(who, demand.chromatic) for who, demand in asked if demand.chromatic]
    if not found:
        return None
    named = list(dict.fromkeys(text for _, text in found if text != "asked"))
    return Row(
        "Chromatic",
        "; ".join(named) or "how far is not stated",
        tuple((who, "" if text == "asked" else text) for who, text in found),
    )


def _demands(asked: Asked):
    fastest: dict[str, ScaleDemand] = {}
    for _, demand in asked:
        if demand.tempo is not None:
            held = fastest.get(demand.beat)
            if held is None or demand.tempo > held.tempo:
                fastest[demand.beat] = demand
    for demand in fastest.values():
        who = [name for name, one in asked if (one.tempo, one.beat) == (demand.tempo, demand.beat)]
        yield f"{tempo(demand).capitalize()} or faster: {listed(who)}"
    for word, said in (("yes", "From memory"), ("panel", "The panel chooses on the day")):
        who = [name for name, one in asked if word in (one.memory, one.chooser)]
        if who:
            yield f"{said}: {listed(who)}"
    for number in sorted({one.enough for _, one in asked if one.enough}):
        who = [name for name, one in asked if one.enough == number]
        yield f"{enough(number).capitalize()}: {listed(who)}"
    who = [name for name, demand in asked if demand.full_range]
    if who:
        yield f"Over the full range: {listed(who)}"


def _differences(asked: Asked):
    for field in ("articulation", "pattern", "order"):
        said: dict[str, list[str]] = {}
        for who, demand in asked:
            text = getattr(demand, field)
            if text:
                said.setdefault(text, []).append(who)
        if len({text.casefold() for text in said}) > 1:
            parts = "; ".join(f"{text} at {listed(who)}" for text, who in said.items())
            yield f"{field.capitalize()} differs: {parts}."
    forms: dict[Sort, list[str]] = {}
    for who, demand in asked:
        for one in demand.keys:
            if one.sort in FORMS:
                forms.setdefault(one.sort, []).append(who)
    if len(forms) > 1:
        parts = "; ".join(f"{SORTS[sort]} at {listed(who)}" for sort, who in forms.items())
        yield f"The form of the minor differs: {parts}."
