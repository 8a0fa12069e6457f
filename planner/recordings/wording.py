"""What the rules say, in words."""

from collections.abc import Iterable

from planner.deadlines.wording import count_of, listed
from planner.recordings.model import Piece, PieceAnswer, Rules

CARE = "Rules are the institution's to change: verify with the institution itself."


def minutes(count: float) -> str:
    """Return "12 minutes" or "12.5 minutes"."""
    shown = round(count, 1)
    return count_of(int(shown), "minute") if shown == int(shown) else f"{shown} minutes"


def titles(pieces: Iterable[Piece | PieceAnswer]) -> str:
    """Return "“Study” and “Concerto, last movement”": a title may hold a comma."""
    return listed([f"“{piece.name}”" for piece in pieces])


def _sentence(words: str) -> str:
    """Return the words with a full stop unless they end in a mark of their own."""
    words = words.strip()
    return words if words.endswith((".", "!", "?")) else f"{words}."


def rule_words(rule: str, rules: Rules) -> str:
    """Return what a rule that is stated asks for, as a sentence."""
    months = rules.max_age_months or 0
    order = f"In this order: {titles(rules.pieces)}."
    return {
        "files": "A file for each piece." if rules.files == "one each" else "One file for all.",
        "order": order if rules.fixed_order else "In any order.",
        "unedited": "Unedited." if rules.unedited else "It may be edited.",
        "piano": "With piano or without."
        if rules.piano == "either"
        else f"{rules.piano.capitalize()} piano.",
        "camera": _sentence(f"Camera: {rules.camera}"),
        "speaking": "The player says what is played." if rules.speaking else "No speaking.",
        "names": "With the player's name." if rules.names else "No names in the picture or file.",
        "age": f"No older than {count_of(months, 'month')}.",
        "length": f"At most {minutes(rules.max_minutes or 0)} together.",
        "video": "With a picture." if rules.video else "Sound alone.",
        "other rules": _sentence(f"Other rules: {rules.form}"),
    }[rule]


def stated(rules: Rules) -> dict[str, bool]:
    """Return of every rule whether the institution states it."""
    return {
        "files": rules.files != "not stated",
        "order": rules.fixed_order is not None,
        "unedited": rules.unedited is not None,
        "piano": rules.piano != "not stated",
        "camera": bool(rules.camera.strip()),
        "speaking": rules.speaking is not None,
        "names": rules.names is not None,
        "age": rules.max_age_months is not None,
        "length": rules.max_minutes is not None,
        "video": rules.video is not None,
        "other rules": bool(rules.form.strip()),
    }


def notes(rules: Rules) -> tuple[str, ...]:
    """Return what the program cannot know."""
    silent = [rule for rule, said in stated(rules).items() if not said and rule != "other rules"]
    unstated = [f"Not stated: {listed(silent)}. Ask the institution where it matters."]
    return (*(unstated if silent else []), CARE)
