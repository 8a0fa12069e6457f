"""JSON in, frozen dataclasses out, and back, driven by the type hints of the dataclasses.

How each type is written:

    str, bool, int, float   as JSON has them; a float must be finite
    Decimal                 text, "12.50" (a number is read too)
    date                    "2027-02-06"
    time                    "10:40" (seconds only where there are some)
    datetime                ISO 8601 with its offset, "2027-02-06T10:40:00-05:00"; "Z" is read
    ZoneInfo                its name, "America/Chicago"
    StrEnum, Literal        the value
    tuple[X, ...], tuple[X, Y], dict[str, X], X | None, nested dataclasses
"""

import dataclasses
import difflib
import hashlib
import json
import math
import types
import typing
from datetime import date, datetime, time
from decimal import Decimal, InvalidOperation
from enum import Enum
from functools import cache
from zoneinfo import ZoneInfo

from planner.zones import zone

T = typing.TypeVar("T")


class Unreadable(ValueError):
    """The data do not fit. The message names the place: "auditions[2].call: write a time…"."""


def read(cls: type[T], data: object) -> T:
    """Return `data`, as json.loads gives it, as a `cls`; raise Unreadable."""
    return _read(cls, data, "")


def loads(cls: type[T], text: str) -> T:
    """Return the JSON `text` as a `cls`; raise Unreadable, also for what is not JSON."""
    try:
        data = json.loads(text, object_pairs_hook=_no_twins, parse_constant=_no_constant)
        return read(cls, data)
    except json.JSONDecodeError as error:
        raise Unreadable(
            f"not JSON: {error.msg}, line {error.lineno} column {error.colno}"
        ) from None
    except RecursionError:
        raise Unreadable("nested too deeply") from None
    except Unreadable:
        raise
    except ValueError as error:
        raise Unreadable(f"not JSON: {error}") from None


def write(value: object) -> object:
    """Return `value` as what json.dumps takes; fields stay in the order they are declared."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {name: write(getattr(value, name)) for name in _fields(type(value))}
    if isinstance(value, Enum):
        return write(value.value)
    if isinstance(value, tuple | list):
        return [write(item) for item in value]
    if isinstance(value, dict):
        return {str(key): write(item) for key, item in value.items()}
    return _write_leaf(value)


def _write_leaf(value: object) -> object:
    if value is None or isinstance(value, str | bool | int | float):
        return value
    if isinstance(value, datetime) and value.utcoffset() is None:
        raise TypeError(f"{value!r} has no time zone")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, time):
        return value.isoformat("auto" if value.second or value.microsecond else "minutes")
    if isinstance(value, Decimal | ZoneInfo):
        return str(value)
    raise TypeError(f"{type(value).__name__} has no JSON form")


def digest(problem: object) -> str:
    """Return the sha256 (64 hex digits) of the problem's canonical JSON.

    Equal problems have equal digests in every process. The type is part of what is hashed, so
    that two questions whose problems look alike are not taken for one.
    """
    named = {"type": f"{type(problem).__module__}.{type(problem).__qualname__}"}
    text = json.dumps(
        named | {"data": write(problem)}, sort_keys=True, separators=(",", ":"), allow_nan=False
    )
    return hashlib.sha256(text.encode("ascii")).hexdigest()


def _no_twins(pairs: list) -> dict:
    found = dict(pairs)
    if len(found) < len(pairs):
        names = [name for name, _ in pairs]
        twin = next(name for name in names if names.count(name) > 1)
        raise Unreadable(f'"{twin}" is written twice in one object')
    return found


def _no_constant(name: str) -> None:
    raise Unreadable(f"{name} is not a number")


@cache
def _fields(cls: type) -> dict[str, object]:
    """Name and resolved type of every field of a dataclass that its constructor takes."""
    hints = typing.get_type_hints(cls)
    return {field.name: hints[field.name] for field in dataclasses.fields(cls) if field.init}


def _read(kind: object, data: object, path: str) -> object:
    origin = typing.get_origin(kind)
    if origin in (typing.Union, types.UnionType):
        return _read_optional(kind, data, path)
    if origin is typing.Literal:
        return _read_choice(typing.get_args(kind), data, path)
    if origin is tuple:
        return _read_tuple(typing.get_args(kind), data, path)
    if origin is dict:
        return _read_dict(typing.get_args(kind)[1], data, path)
    if dataclasses.is_dataclass(kind):
        return _read_dataclass(kind, data, path)
    if isinstance(kind, type) and issubclass(kind, Enum):
        return kind(_read_choice([member.value for member in kind], data, path))
    if kind not in _LEAVES:
        raise TypeError(f"{path or 'the top'}: the codec does not know {kind!r}")
    return _LEAVES[kind](data, path)


def _refuse(path: str, what: str) -> typing.NoReturn:
    raise Unreadable(f"{path}: {what}" if path else what)


def _read_optional(kind: object, data: object, path: str) -> object:
    others = [arg for arg in typing.get_args(kind) if arg is not type(None)]
    if len(others) != 1:
        raise TypeError(f"{path}: the codec reads X | None, not {kind}")
    return None if data is None else _read(others[0], data, path)


def _read_choice(values: typing.Sequence, data: object, path: str) -> object:
    for value in values:
        if type(value) is type(data) and value == data:
            return value
    shown = ", ".join(json.dumps(value, ensure_ascii=False) for value in values)
    _refuse(path, f"write one of {shown}")


def _read_tuple(kinds: tuple, data: object, path: str) -> tuple:
    if not isinstance(data, list | tuple):
        _refuse(path, "write a list, [ … ]")
    if len(kinds) == 2 and kinds[1] is Ellipsis:
        kinds = (kinds[0],) * len(data)
    if len(kinds) != len(data):
        _refuse(path, f"write {len(kinds)} values, not {len(data)}")
    pairs = zip(kinds, data, strict=True)
    return tuple(_read(kind, item, f"{path}[{i}]") for i, (kind, item) in enumerate(pairs))


def _read_dict(kind: object, data: object, path: str) -> dict:
    if not isinstance(data, dict):
        _refuse(path, "write an object, { … }")
    return {
        _text(key, path): _read(kind, item, f"{path}[{json.dumps(key)}]")
        for key, item in data.items()
    }


def _read_dataclass(cls: type, data: object, path: str) -> object:
    if not isinstance(data, dict):
        _refuse(path, "write an object, { … }")
    hints = _fields(cls)
    for name in data:
        if name not in hints:
            close = difflib.get_close_matches(name, hints, n=1)
            hint = f'; did you mean "{close[0]}"?' if close else ""
            _refuse(path, f'"{name}" is not a field here{hint}')
    missing = [name for name in _required(cls) if name not in data]
    if missing:
        _refuse(path, f"missing: {', '.join(missing)}")
    inside = f"{path}." if path else ""
    values = {name: _read(hints[name], item, inside + name) for name, item in data.items()}
    try:
        return cls(**values)
    except ValueError as error:
        _refuse(path, str(error))


@cache
def _required(cls: type) -> tuple[str, ...]:
    return tuple(
        field.name
        for field in dataclasses.fields(cls)
        if field.init
        and field.default is dataclasses.MISSING
        and field.default_factory is dataclasses.MISSING
    )


def _text(data: object, path: str) -> str:
    if not isinstance(data, str):
        _refuse(path, "write text in quotes")
    try:
        data.encode()
    except UnicodeEncodeError:
        _refuse(path, "the text holds half a character")
    return data


def _yes_or_no(data: object, path: str) -> bool:
    if not isinstance(data, bool):
        _refuse(path, "write true or false")
    return data


def _whole(data: object, path: str) -> int:
    if isinstance(data, bool) or not isinstance(data, int):
        _refuse(path, "write a whole number")
    return data


def _number(data: object, path: str) -> float:
    if isinstance(data, bool) or not isinstance(data, int | float):
        _refuse(path, "write a number")
    try:
        number = float(data)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        _refuse(path, "write a finite number")
    return number


def _decimal(data: object, path: str) -> Decimal:
    if isinstance(data, bool) or not isinstance(data, int | float | str):
        _refuse(path, 'write an amount as "12.50"')
    try:
        amount = Decimal(str(data))
    except InvalidOperation:
        amount = None
    if amount is None or not amount.is_finite():
        _refuse(path, 'write an amount as "12.50"')
    return amount


def _parsed(parse: typing.Callable, advice: str) -> typing.Callable:
    def leaf(data: object, path: str) -> object:
        try:
            return parse(_text(data, path))
        except Unreadable:
            _refuse(path, advice)
        except ValueError as error:
            _refuse(path, str(error) if parse is zone else advice)

    return leaf


def _date(text: str) -> date:
    # fromisoformat also reads 20270206 and week dates, which nobody means to write.
    return datetime.strptime(text, "%Y-%m-%d").date()


def _time(text: str) -> time:
    if ":" not in text:
        raise ValueError
    clock = time.fromisoformat(text)
    if clock.tzinfo is not None:
        raise ValueError
    return clock


def _moment(text: str) -> datetime:
    at = datetime.fromisoformat(text)
    if at.utcoffset() is None or len(text) < len("2027-02-06T10:40Z"):
        raise ValueError
    return at


_LEAVES = {
    str: _text,
    bool: _yes_or_no,
    int: _whole,
    float: _number,
    Decimal: _decimal,
    date: _parsed(_date, "write a date as 2027-02-06"),
    time: _parsed(_time, "write a time as 10:40"),
    datetime: _parsed(_moment, "write a moment with its offset, as 2027-02-06T10:40:00-05:00"),
    ZoneInfo: _parsed(zone, "write a zone as America/Chicago"),
}
