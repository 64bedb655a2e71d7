"""A profile's text with some values changed: what does not change stays to the byte.

The text is taken apart into its lines, as tomlkit reads them: headers, keys with their values, and
what stands between. A changed value takes the place of the old one in its line; a key that goes
leaves its comment behind on a line of its own; a new key goes into its own table, where the
schema's order puts it, or behind the ``#key = ...`` that :mod:`starting` writes for a key at its
default.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any, Literal

from .parameters import spec_at, specs
from .texts import Texts

Path = tuple[str, ...]

BYTE_MARK = "\ufeff"
"""Some editors put it before the text."""

_BARE = re.compile(r"[A-Za-z0-9_-]+")
_STRING_OR_COMMENT = re.compile(
    r'"""(?:\\.|[^\\])*?"{3,5}' r"|'''.*?'{3,5}" r'|"(?:\\.|[^"\\\n])*"' r"|'[^'\n]*'"
    r"|(?P<comment>#[^\r\n]*)", re.DOTALL,
)  # fmt: skip


class NotRewrittenError(ValueError):
    """A text that cannot be changed in place, though it is TOML."""


# Differences ------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Difference:
    """A key whose text differs; None where it is not given."""

    key: str
    label: str
    was: str | None
    now: str | None


def differences(was: Texts, now: Texts) -> tuple[Difference, ...]:
    """What differs between two heads' texts, key by key, in the schema's order.

    >>> found = differences({"name": "A", "eye.length": "2 in"}, {"name": "A", "eye.width": "1 in"})
    >>> for one in found:
    ...     print(one.label, one.was, one.now)
    Length of the eye 2 in None
    Width of the eye None 1 in
    """
    return tuple(
        Difference(key, label(key), was.get(key), now.get(key))
        for key in in_order({**was, **now})
        if was.get(key) != now.get(key)
    )


def in_order(keys: Mapping[str, Any]) -> list[str]:
    """Keys in the schema's order, those that it does not know last."""
    order = _order()
    return sorted(keys, key=lambda key: order.get(tuple(key.split(".")), len(order)))


def label(key: str) -> str:
    """What the schema calls a key; of one that it does not know, the key itself.

    >>> label("blade.toe"), label("blade.toes")
    ('Toe', 'blade.toes')
    """
    try:
        return spec_at(key).label
    except (AttributeError, KeyError, TypeError):
        return key


@cache
def _order() -> dict[Path, int]:
    """Place of every key and group in the schema."""
    found: dict[Path, int] = {}
    for key, _ in specs():
        parts = tuple(key.split("."))
        for i in range(1, len(parts) + 1):
            found.setdefault(parts[:i], len(found))
    return found


def with_groups(was: Mapping[str, Any], now: Mapping[str, Any]) -> dict[str, Any]:
    """The table ``now`` with the groups of the schema that ``was`` has and it has not, empty.

    So that a header with nothing but comments under it, as a profile to start from has, stays.

    >>> with_groups({"plate": {}, "odd": {}}, {"name": "A"})
    {'name': 'A', 'plate': {}}
    """

    def kept(was: Mapping[str, Any], now: Mapping[str, Any], at: Path) -> dict[str, Any]:
        found = dict(now)
        for key, inner in was.items():
            if not isinstance(inner, Mapping) or (*at, key) not in groups:
                continue
            if isinstance(found.get(key, {}), Mapping):
                found[key] = kept(inner, found.get(key, {}), (*at, key))
        return found

    groups = {path[:i] for path in _order() for i in range(1, len(path))}
    return kept(was, now, ())


# The text in its lines --------------------------------------------------------------------------


@dataclass
class _Line:
    """A header, a key with its value, a comment or a blank: as it stands in the text.

    ``path`` is the header's or the key's, ``home`` that of the header that a key stands under.
    """

    kind: Literal["header", "value", "rows", "comment", "blank", "gone"]
    lead: str
    value: str = ""
    tail: str = ""
    path: Path = ()
    home: Path = ()
    item: Any = None

    @property
    def text(self) -> str:
        return f"{self.lead}{self.value}{self.tail}"


def _lines(text: str) -> list[_Line]:
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    try:
        found = list(_taken_apart(tomlkit.parse(text).body, (), (), ""))
    except (TOMLKitError, ValueError, RecursionError) as error:
        raise NotRewrittenError(f"the text cannot be taken apart: {error}") from None
    if "".join(line.text for line in found) != text:
        raise NotRewrittenError("the text cannot be put together again as it was")
    return found


def _taken_apart(
    body: Any, path: Path, home: Path, dotted: str, rows: bool = False
) -> Iterator[_Line]:
    """The lines of a table: ``dotted`` stands before its keys; ``rows`` if it is in ``[[...]]``."""
    from tomlkit.items import AoT, Comment, Null, Table, Whitespace

    for key, item in body:
        if isinstance(item, Null):
            continue
        if key is None:
            kind: Literal["comment", "blank"] = "comment" if isinstance(item, Comment) else "blank"
            assert isinstance(item, Comment | Whitespace)
            yield _Line(kind, item.as_string())
            continue
        here = path if rows else (*path, key.key)
        if isinstance(item, AoT):
            for table in item.body:
                yield _header(table, here, True)
                yield from _taken_apart(table.value.body, here, here, "", True)
        elif isinstance(item, Table) and item.display_name is not None:
            yield _header(item, here, rows)
            yield from _taken_apart(item.value.body, here, here, "", rows)
        elif isinstance(item, Table) and _is_way(item):
            yield from _taken_apart(item.value.body, here, home, "", rows)
        elif isinstance(item, Table):
            yield from _taken_apart(
                item.value.body, here, home, f"{dotted}{key.as_string()}.", rows
            )
        else:
            trivia = item.trivia
            yield _Line(
                "rows" if rows else "value",
                f"{trivia.indent}{dotted}{key.as_string()}{key.sep}",
                item.as_string(),
                f"{trivia.comment_ws}{trivia.comment}{trivia.trail}",
                here, home, item,
            )  # fmt: skip


def _is_way(table: Any) -> bool:
    """Whether a table without a header is only the way to tables that have one."""
    from tomlkit.items import AoT, Table

    for key, item in table.value.body:
        if key is None:
            continue
        if isinstance(item, AoT) or (isinstance(item, Table) and item.display_name is not None):
            return True
        return isinstance(item, Table) and _is_way(item)
    return True


def _header(table: Any, path: Path, rows: bool) -> _Line:
    """A table's header; one of many rows belongs to what stands under it."""
    trivia, name = table.trivia, table.display_name
    opened, closed = ("[[", "]]") if table.is_aot_element() else ("[", "]")
    return _Line(
        "rows" if rows else "header",
        f"{trivia.indent}{opened}{name}{closed}", "",
        f"{trivia.comment_ws}{trivia.comment}{trivia.trail}", path, path, table,
    )  # fmt: skip


# Rewriting --------------------------------------------------------------------------------------


def rewritten(text: str, was: Mapping[str, Any], now: Mapping[str, Any]) -> str:
    """The text of a table ``was`` as that of the table ``now``.

    Parameters
    ----------
    text
        TOML, as it was read: with its line ends, and its byte mark if it has one.
    was, now
        The table that the text stands for, and the one that it is to stand for.

    Raises
    ------
    NotRewrittenError
        If the text cannot be changed so.
    """
    if _same(was, now):
        return text
    mark = BYTE_MARK if text.startswith(BYTE_MARK) else ""
    body = text.removeprefix(BYTE_MARK)
    ends = re.search(r"\r?\n", body)
    work = _Work(_lines(body), "\n" if ends is None else ends[0])
    work.change(was, now)
    work.add(now)
    found = "".join(line.text for line in work.lines)
    try:
        found.encode()  # half a sign of a pair is no text
        right = _same(tomllib.loads(found), now)
    except (ValueError, RecursionError):
        right = False
    if not right:
        raise NotRewrittenError("the text cannot be made to say what is wanted")
    return f"{mark}{found}"


@dataclass
class _Work:
    lines: list[_Line]
    end: str
    covered: set[Path] = field(default_factory=set)

    def change(self, was: Mapping[str, Any], now: Mapping[str, Any]) -> None:
        """Put new values in, and take out what is no more."""
        from tomlkit.items import InlineTable

        for i, line in enumerate(self.lines):
            if line.kind not in ("header", "value", "rows"):
                continue
            old, new = _at(was, line.path), _at(now, line.path)
            table = isinstance(new, Mapping)
            if line.kind == "header":
                if not table:
                    self.take_out(i)
            elif line.kind == "rows":
                if _same(old, new):
                    self.covered.add(line.path)
                else:
                    self.take_out(i)
            elif new is _NOTHING or (table and not isinstance(line.item, InlineTable)):
                self.take_out(i)
            else:
                self.covered.add(line.path)
                if not _same(old, new):
                    self.put_in(i, new)

    def take_out(self, at: int) -> None:
        """A line goes; its comments stay."""
        line = self.lines[at]
        self.lines[at] = _Line("gone", self.own_lines(line, _comments(f"{line.value}{line.tail}")))

    def put_in(self, at: int, value: Any) -> None:
        """A line's value; the comments inside the old one that the new one has not go before it."""
        line = self.lines[at]
        old, line.value = line.value, _revalued(line.item, value)
        left = _comments(line.value)
        lost = [comment for comment in _comments(old) if comment not in left]
        line.lead = f"{self.own_lines(line, lost)}{line.lead}"

    def own_lines(self, line: _Line, comments: list[str]) -> str:
        indent = re.match(r"[ \t]*", line.lead)
        before = "" if indent is None else indent[0]
        return "".join(f"{before}{comment}{self.end}" for comment in comments)

    # what is new

    def add(self, now: Mapping[str, Any]) -> None:
        headers = {line.path for line in self.lines if line.kind == "header"}
        for path, value in _leaves(now, ()):
            if any(path[:i] in self.covered for i in range(1, len(path) + 1)):
                continue
            if isinstance(value, Mapping):  # an empty one
                if path not in headers:
                    self.add_header(path)
            else:
                self.add_key(path, value)

    def add_key(self, path: Path, value: Any) -> None:
        group = path[:-1]
        header = next(
            (i for i, ln in enumerate(self.lines) if ln.kind == "header" and ln.path == group), None
        )
        if group and header is None:
            beside = [
                (i, ln.home) for i, ln in enumerate(self.lines)
                if ln.kind == "value" and ln.path[: len(group)] == group
                and len(ln.home) < len(group)
            ]  # fmt: skip
            if beside:  # told by dotted keys
                at, home = beside[-1]
                self.insert(at + 1, path, home, value)
                return
            header = self.add_header(group)
        first = 0 if header is None else header + 1
        self.insert(self.place(path, first), path, group, value)

    def place(self, path: Path, first: int) -> int:
        """Where in a section that begins at ``first`` a key goes."""
        last, order = self.section_end(first), _order()
        at_default = re.compile(rf"[ \t]*#[ \t]?{re.escape(path[-1])}[ \t]*=")
        beside, before = None, None
        for i in range(first, last):
            line = self.lines[i]
            if line.kind == "comment" and at_default.match(line.lead):
                return i + 1
            if line.kind == "value":
                earlier = order.get(line.path, -1) < order.get(path, len(order))
                beside = i + 1 if earlier else beside
                before = i if before is None else before
        if beside is not None:
            return beside
        if first:  # after its header
            return first
        return self.above(last) if before is None else self.above(before)

    def section_end(self, first: int) -> int:
        for i in range(first, len(self.lines)):
            line = self.lines[i]
            if line.kind == "header" or (line.kind == "rows" and line.item.is_table()):
                return i
        return len(self.lines)

    def above(self, at: int) -> int:
        """Before a line and the comments that stand right above it; at the top, after those."""
        i = at
        while i > 0 and self.lines[i - 1].kind == "comment":
            i -= 1
        return i if i > 0 and self.lines[i - 1].kind == "blank" else at

    def add_header(self, path: Path) -> int:
        """A new table, after the one that the schema has before it; where its header stands."""
        order = _order()
        own = order.get(path, len(order))
        heads = [(i, ln) for i, ln in enumerate(self.lines) if ln.kind == "header"]
        earlier = [(order.get(ln.path, len(order)), i) for i, ln in heads]
        earlier = [(place, i) for place, i in earlier if place <= own]
        start = max(earlier)[1] + 1 if earlier else 0
        end = self.section_end(start)
        at = self.above(end) if end < len(self.lines) else end
        while (
            at > start
            and self.lines[at - 1].kind == "blank"
            and self.lines[at - 1].lead.strip(" \t")
        ):
            at -= 1
        name = ".".join(map(_key, path))
        before = "".join(line.text for line in self.lines[:at])
        gap = "" if not before else self.end if before.endswith("\n") else self.end * 2
        self.lines.insert(at, _Line("blank", gap))
        self.lines.insert(at + 1, _Line("header", f"[{name}]", "", self.end, path, path))
        if at + 2 < len(self.lines) and self.lines[at + 2].kind not in ("blank", "gone"):
            self.lines.insert(at + 2, _Line("blank", self.end))
        return at + 1

    def insert(self, at: int, path: Path, home: Path, value: Any) -> None:
        name = ".".join(map(_key, path[len(home) :]))
        before = "".join(line.text for line in self.lines[:at])
        gap = self.end if before and not before.endswith("\n") else ""
        self.lines.insert(
            at, _Line("value", f"{gap}{name} = ", _written(value), self.end, path, home)
        )
        self.covered.add(path)


class _Nothing:
    pass


_NOTHING = _Nothing()


def _at(table: Any, path: Path) -> Any:
    for part in path:
        table = table.get(part, _NOTHING) if isinstance(table, Mapping) else _NOTHING
    return table


def _leaves(table: Mapping[str, Any], path: Path) -> Iterator[tuple[Path, Any]]:
    """Every value with its path; an empty table is one."""
    for key, value in table.items():
        if isinstance(value, Mapping) and value:
            yield from _leaves(value, (*path, key))
        else:
            yield (*path, key), value


def _same(one: Any, other: Any) -> bool:
    """Whether two values are alike, a yes and a one not being so."""
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        return one.keys() == other.keys() and all(_same(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(_same, one, other))
    if isinstance(one, bool) != isinstance(other, bool):
        return False
    return bool(one == other or (one != one and other != other))


def _comments(text: str) -> list[str]:
    """The comments in a piece of TOML, each from its # on.

    >>> _comments('["1 in", # one' + chr(10) + ' "# 2 in"] # two')
    ['# one', '# two']
    """
    found = (match["comment"] for match in _STRING_OR_COMMENT.finditer(text))
    return [comment.rstrip() for comment in found if comment is not None]


# Values -----------------------------------------------------------------------------------------


def _key(name: str) -> str:
    return name if _BARE.fullmatch(name) else _written(name)


def _written(value: Any) -> str:
    """A value as TOML, on one line."""
    import tomlkit

    if isinstance(value, Mapping):
        inner = ", ".join(f"{_key(key)} = {_written(item)}" for key, item in value.items())
        return f"{{{inner}}}"
    if isinstance(value, list):
        return f"[{', '.join(map(_written, value))}]"
    text: str = tomlkit.item(value).as_string()
    return text


def _revalued(item: Any, value: Any) -> str:
    """A value in the place of an item: in lists and tables only what differs, where that goes."""
    from tomlkit.exceptions import TOMLKitError

    if isinstance(value, list | Mapping):
        kept = _comments(item.as_string())
        try:
            _alter(item, value)
            text: str = item.as_string()
            if _same(tomllib.loads(f"v = {text}")["v"], value) and _comments(text) == kept:
                return text
        except (TOMLKitError, ValueError, KeyError, IndexError, TypeError, AttributeError):
            pass  # it is written anew
    return _written(value)


def _alter(item: Any, value: Any) -> None:
    """Change an item of tomlkit in its place, part by part."""
    if isinstance(value, Mapping):
        for key in [key for key in item if key not in value]:
            del item[key]
    elif len(value) < len(item):
        del item[len(value) :]
    for key, inner in value.items() if isinstance(value, Mapping) else enumerate(value):
        there = key in item if isinstance(value, Mapping) else key < len(item)
        if not there and isinstance(value, list):
            item.append(inner)
        elif not there:
            item[key] = inner
        elif not _same(_plain(item[key]), inner):
            alike = isinstance(inner, Mapping) == isinstance(_plain(item[key]), Mapping)
            if alike and isinstance(inner, list | Mapping) and isinstance(item[key], list | dict):
                _alter(item[key], inner)
            else:
                item[key] = inner


def _plain(value: Any) -> Any:
    return value.unwrap() if hasattr(value, "unwrap") else value
