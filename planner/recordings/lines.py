"""The rules, one line each: met, missing, to look at, or not checked."""

from planner.deadlines.wording import dated, listed
from planner.recordings.model import RuleLine, Rules, Status
from planner.recordings.sheet import Sheet
from planner.recordings.wording import minutes, rule_words, stated, titles


def lines(sheet: Sheet) -> tuple[RuleLine, ...]:
    """Return a line for the pieces and for every rule that is stated."""
    return (
        _pieces(sheet),
        *(_line(rule, sheet) for rule, said in stated(sheet.rules).items() if said),
    )


def _pieces(sheet: Sheet) -> RuleLine:
    if not sheet.rules.pieces:
        return RuleLine("pieces", "missing", "No piece is asked for yet.")
    if sheet.missing:
        return RuleLine("pieces", "missing", f"No take serves for {titles(sheet.missing)}.")
    return RuleLine("pieces", "met", "Every piece is recorded.")


def _line(rule: str, sheet: Sheet) -> RuleLine:
    status, finding = _finding(rule, sheet)
    words = rule_words(rule, sheet.rules)
    return RuleLine(rule, status, f"{words} {finding}" if finding else words)


def _finding(rule: str, sheet: Sheet) -> tuple[Status, str]:
    if _asks_nothing(rule, sheet.rules):
        return "met", ""
    if rule == "length" and sheet.too_long is not None:
        return "missing", f"What serves is {minutes(sheet.too_long)} long."
    broken = {
        f"{take.name} {refusal.why}": None
        for piece in sheet.missing
        for take in sheet.of(piece.key)
        for refusal in sheet.judged[take.key].refusals
        if refusal.rule == rule
    }
    if broken:
        return "missing", f"Not so: {'; '.join(broken)}."
    look = [take.name for take in sheet.used if rule in sheet.judged[take.key].look]
    if rule == "other rules" and (look or not sheet.used):
        return "not checked", "Not checked by the program."
    if look:
        return "to look at", f"Look at {listed(look)}."
    if not sheet.used:
        return "missing", "Nothing that serves is recorded yet."
    return "met", _until(sheet) if rule == "age" else ""


def _asks_nothing(rule: str, rules: Rules) -> bool:
    """Say whether a rule only allows something."""
    return (
        (rule == "order" and not rules.fixed_order)
        or (rule == "unedited" and not rules.unedited)
        or (rule == "piano" and rules.piano == "either")
    )


def _until(sheet: Sheet) -> str:
    day = min(sheet.judged[take.key].usable_until for take in sheet.used)
    return f"What serves may be used until {dated(day, sheet.today)}."
