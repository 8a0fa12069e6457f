"""From a problem to its answer."""

from datetime import date

from planner.deadlines.wording import dated, listed
from planner.recordings.checking import check
from planner.recordings.lines import lines
from planner.recordings.model import Answer, File, Piece, PieceAnswer, Problem
from planner.recordings.naming import plain_name
from planner.recordings.sheet import Sheet
from planner.recordings.wording import minutes, notes, titles


def answer(problem: Problem) -> Answer:
    """Return how a recording stands; raise ValueError, with what to do, if it cannot be said."""
    check(problem)
    sheet = Sheet(problem)
    pieces = tuple(_piece(piece, sheet) for piece in problem.rules.pieces)
    found = lines(sheet)
    met = all(line.status == "met" for line in found)
    dates = [sheet.judged[take.key].usable_until for take in sheet.used]
    return Answer(
        pieces=pieces,
        takes=tuple(sheet.judged[take.key] for take in sheet.takes),
        rules=found,
        files=tuple(_files(sheet)),
        ready=met and all(piece.chosen for piece in pieces),
        next=_next(sheet, pieces),
        use_by=min((day for day in dates if day is not None), default=None),
        notes=notes(problem.rules),
    )


def _piece(piece: Piece, sheet: Sheet) -> PieceAnswer:
    takes = {take.key: take for take in sheet.of(piece.key)}
    refusals = tuple(refusal for key in takes for refusal in sheet.judged[key].refusals)
    whys = [f"{takes[refusal.take].name} {refusal.why}" for refusal in refusals]
    serving = sheet.serving.get(piece.key)
    if serving is not None:
        until = sheet.judged[serving.key].usable_until
        usable = f": it may be used until {dated(until, sheet.today)}" if until else ""
        wrong = [w for r, w in zip(refusals, whys, strict=True) if takes[r.take].chosen]
        instead = f" The one chosen does not: {'; '.join(wrong)}." if wrong else ""
        sentence = f"{serving.name} serves{usable}.{instead}"
    else:
        sentence = f"No take serves: {'; '.join(whys)}." if whys else "Not recorded yet."
    return PieceAnswer(
        piece.key,
        piece.name,
        serving and serving.key,
        serving is not None and serving.chosen,
        refusals,
        sentence,
    )


def _files(sheet: Sheet) -> list[File]:
    rules, pieces = sheet.rules, sheet.rules.pieces
    if rules.files == "one each":
        found = []
        for number, piece in enumerate(pieces, 1):
            if (take := sheet.serving.get(piece.key)) is not None:
                name = ""
                if rules.names is False:
                    name = plain_name(number, len(pieces), piece.name, take.file_name)
                found.append(File(number, take.key, (piece.key,), name))
        return found
    return [
        File(number, take.key, tuple(key for key in take.pieces if key in sheet.serving), "")
        for number, take in enumerate(sheet.used, 1)
    ]


def _next(sheet: Sheet, pieces: tuple[PieceAnswer, ...]) -> str:
    """Return what to do next, in one sentence."""
    rules = sheet.rules
    if not pieces:
        return f"No piece is asked for in {rules.name}: add what it asks for."
    by = _by(rules.due, sheet.today)
    if sheet.missing:
        again = " again" if all(sheet.of(piece.key) for piece in sheet.missing) else ""
        together = " in one file" if rules.files == "one file" else ""
        return f"Record {titles(sheet.missing)}{together}{again}{by}."
    if sheet.too_long is not None:
        return (
            f"Record it shorter{by}: together it is {minutes(sheet.too_long)}, "
            f"and {minutes(rules.max_minutes)} are the most."
        )
    for take in sheet.used:
        if look := sheet.judged[take.key].look:
            return f"Look at {take.name}: {listed(list(look))}."
    if open_ := [piece for piece in pieces if not piece.chosen]:
        return f"Choose the take to send of {titles(open_)}."
    return f"All that is asked for is there: send it{by}."


def _by(due: date | None, today: date) -> str:
    if due is None:
        return ""
    return f" by {dated(due, today)}" if due >= today else f"; it was due {dated(due, today)}"
