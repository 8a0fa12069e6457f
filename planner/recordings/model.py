"""What goes into the question of recordings, and what comes out."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

Status = Literal["met", "missing", "to look at", "not checked"]

# What somebody has to look or listen for, or can say where it is not recorded.
LOOKED_AT = ("unedited", "piano", "camera", "speaking", "names", "length", "video", "other rules")


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece that has to be recorded. key: unique among those of the rules."""

    key: str
    name: str


@dataclass(frozen=True, slots=True)
class Rules:
    """What an institution asks of a recording; None and "not stated" where it says nothing.

    name: of the recording, as in a sentence: "the Lindmoor recording".
    pieces: what is asked for, in the order asked for.
    fixed_order: they have to come in this order.
    unedited: no cuts. piano: whether accompanied.
    camera: where it stands and what it shows.
    speaking: False: nobody may speak; True: the player has to say what is played.
    names: False: no names in the picture or the file; True: names are asked for.
    max_age_months: how old a take may be when the recording is due, in calendar months.
    max_minutes: how long all of it together may be.
    video: True: with a picture; False: sound alone.
    form: all other rules in the institution's words; never checked by the program.
    due: when it has to be in; where there is no date, age goes by today.
    """

    name: str
    pieces: tuple[Piece, ...]
    files: Literal["one each", "one file", "not stated"] = "not stated"
    fixed_order: bool | None = None
    unedited: bool | None = None
    piano: Literal["with", "without", "either", "not stated"] = "not stated"
    camera: str = ""
    speaking: bool | None = None
    names: bool | None = None
    max_age_months: int | None = None
    max_minutes: int | None = None
    video: bool | None = None
    form: str = ""
    due: date | None = None


@dataclass(frozen=True, slots=True)
class Take:
    """One file that was recorded.

    pieces: keys of what is played, in the order played; others than those asked for may be among
    them. with_piano, edited, minutes, video: None where nobody has said.
    seen: what somebody has looked at and found as the rules have it, of LOOKED_AT.
    chosen: it is the one to send.
    """

    key: str
    name: str
    pieces: tuple[str, ...]
    made_on: date
    with_piano: bool | None = None
    edited: bool | None = None
    minutes: float | None = None
    video: bool | None = None
    file_name: str = ""
    seen: tuple[str, ...] = ()
    chosen: bool = False


@dataclass(frozen=True, slots=True)
class Problem:
    """One recording as it stands. today: by the student's calendar."""

    today: date
    rules: Rules
    takes: tuple[Take, ...] = ()


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a take does not serve. rule: which one it breaks; why: to follow the take's name."""

    take: str
    rule: str
    why: str


@dataclass(frozen=True, slots=True)
class TakeAnswer:
    """One take held against the rules.

    refusals: () where it serves. look: what somebody still has to look at, of LOOKED_AT.
    usable_until: the last day on which it is not too old; None without a limit.
    sentence: all of it, to be read beside the take.
    """

    key: str
    serves: bool
    refusals: tuple[Refusal, ...]
    look: tuple[str, ...]
    usable_until: date | None
    sentence: str


@dataclass(frozen=True, slots=True)
class PieceAnswer:
    """One piece asked for. take: key of the take that serves, None where none does.

    chosen: somebody has marked that take as the one to send. refusals: of the other takes of it.
    """

    key: str
    name: str
    take: str | None
    chosen: bool
    refusals: tuple[Refusal, ...]
    sentence: str


@dataclass(frozen=True, slots=True)
class RuleLine:
    """One rule that is stated. rule: "pieces", "files", "order", "age" or one of LOOKED_AT."""

    rule: str
    status: Status
    sentence: str


@dataclass(frozen=True, slots=True)
class File:
    """A file to send, in order. name: a plain name to give it; "" where its own will do."""

    number: int
    take: str
    pieces: tuple[str, ...]
    name: str


@dataclass(frozen=True, slots=True)
class Answer:
    """Pieces and rules in the order asked for, takes by date, then key.

    ready: every piece has its chosen take, no rule is missing and nothing is left to look at.
    next: what to do next. use_by: the last day on which none of the takes that serve is too old;
    None without a limit. notes: what the program cannot know.
    """

    pieces: tuple[PieceAnswer, ...]
    takes: tuple[TakeAnswer, ...]
    rules: tuple[RuleLine, ...]
    files: tuple[File, ...]
    ready: bool
    next: str
    use_by: date | None
    notes: tuple[str, ...]
