"""The elements of an XML file with their lines; nothing is expanded, nothing is fetched.

Read with expat. Entities of the file's own are refused when they are declared, before any could be expanded; an
external part of a DOCTYPE is passed over. Only text within <text> and <style> is kept.
"""

from __future__ import annotations

import re
from typing import Final
from xml.parsers import expat

from ..errors import InputError, Where
from ..values import dataclass, field
from .limits import DEEPEST, MOST_ELEMENTS, too_deep, too_many

SVG_SPACE: Final = "http://www.w3.org/2000/svg"
_TEXTUAL: Final = frozenset(("text", "tspan", "style", "textPath", "a"))
_MOST_TEXT: Final = 5_000_000
"""Characters of words and style sheets."""


@dataclass(slots=True, eq=False)
class Node:
    """An element: `tag` is its name if it is SVG's, else "" (it and what is in it is not drawn).

    `attributes` of another namespace are keyed `{namespace} name`. `parts` are children and words, in their order.
    """

    tag: str
    attributes: dict[str, str]
    line: int
    parts: list[Node | str] = field(default_factory=list)

    @property
    def children(self) -> list[Node]:
        """The elements in it."""
        return [part for part in self.parts if not isinstance(part, str)]

    @property
    def id(self) -> str:
        return " ".join(self.attributes.get("id", "").split())

    @property
    def label(self) -> str:
        """What an editor calls it: the attribute `label` of any namespace."""
        for key, value in self.attributes.items():
            if key.endswith(" label"):
                return " ".join(value.split())
        return ""

    def words(self) -> str:
        """All words in it."""
        return "".join(part if isinstance(part, str) else part.words() for part in self.parts)


def root_of(data: bytes, name: str) -> Node:
    """The tree. Raises InputError with its line: not XML, cut short, entities declared, too big or too deep."""
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.buffer_text = True
    tops: list[Node] = []
    stack: list[Node] = []
    left = [MOST_ELEMENTS, _MOST_TEXT]

    def begin(spelt: str, attributes: dict[str, str]) -> None:
        left[0] -= 1
        if left[0] < 0:
            raise too_many(name, MOST_ELEMENTS, "elements")
        space, _, local = spelt.rpartition(" ")
        node = Node(local if space in ("", SVG_SPACE) else "", attributes, parser.CurrentLineNumber)
        if len(stack) >= DEEPEST:
            raise too_deep(name, "elements lie in each other", node.line)
        if stack:
            stack[-1].parts.append(node)
        else:
            tops.append(node)
        stack.append(node)
        parser.CharacterDataHandler = said if node.tag in _TEXTUAL else None

    def end(spelt: str) -> None:
        stack.pop()
        parser.CharacterDataHandler = said if stack and stack[-1].tag in _TEXTUAL else None

    def said(words: str) -> None:
        left[1] -= len(words)
        if left[1] < 0:
            raise too_many(name, _MOST_TEXT, "characters of words")
        stack[-1].parts.append(words)

    def entity(*_: object) -> None:
        raise InputError(
            "it declares entities of its own (<!ENTITY …>), which are not read",
            where=Where(name, parser.CurrentLineNumber), expected="plain SVG",
            instead="Save the drawing as plain SVG",
        )  # fmt: skip

    parser.StartElementHandler = begin
    parser.EndElementHandler = end
    parser.EntityDeclHandler = entity
    try:
        parser.Parse(data, True)
    except expat.ExpatError as error:
        raise _no_xml(data, name, error) from None
    except (ValueError, LookupError, UnicodeError) as error:  # an encoding that is not known, or does not fit
        raise InputError(
            f"its encoding cannot be read ({' '.join(str(error).split())})", where=Where(name, 1), expected="UTF-8"
        ) from None
    return tops[0]


def _no_xml(data: bytes, name: str, error: expat.ExpatError) -> InputError:
    line = int(error.lineno)
    if not data.strip(b"\0 \t\r\n"):
        return InputError("it is empty", where=Where(name), expected="a drawing")
    what = expat.ErrorString(error.code) or "damaged"
    if error.code in (3, 4) and not re.match(rb"[^>]{0,200}encoding", data[:300]):
        try:
            data.decode("utf-8")
        except UnicodeDecodeError as wrong:
            if error.code == 4:
                at = data.count(b"\n", 0, wrong.start) + 1
                return InputError(
                    f"byte {data[wrong.start]:#04x} is not UTF-8", where=Where(name, at), expected="UTF-8",
                    instead="Save the drawing as SVG again, in UTF-8",
                )  # fmt: skip
    if error.code in (3, 5, 6, 20) or (error.code == 4 and line > data.count(b"\n")):
        return InputError(
            f"the file stops before its end ({what})", where=Where(name, line), expected="</svg> at its end",
            instead="Save or fetch the file again",
        )  # fmt: skip
    return InputError(
        f"it is not XML: {what}", where=Where(name, line), expected="a drawing in SVG", instead="Save it again as SVG"
    )
