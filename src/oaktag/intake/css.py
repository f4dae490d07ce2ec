"""What style sheets and style attributes say of the few things that a reader of shapes must know.

CSS 2.1, 5 and 6.4, as far as editors use it: selectors by element, class, id and `*`, joined by blanks or `>`. Others
(attributes, pseudo-classes, at-rules) are not followed, which is told where they would hide something.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final, TypeAlias

from ..values import dataclass, field
from .xml_tree import Node

HEARD: Final = frozenset(("display", "visibility", "font-size", "transform", "clip-path", "mask"))
_ATTRIBUTES: Final = ("display", "visibility", "font-size")
_LONGEST: Final = 10_000
"""Characters of a class attribute that are heard."""
MOST_RULES: Final = 2_000
MOST_STEPS: Final = 5_000_000
"""Comparisons of elements with rules, in all: some seconds."""
_COMMENT: Final = re.compile(r"/\*(?:[^*]|\*(?!/))*+(?:\*/|$)")
_COMPOUND: Final = re.compile(r"(\*|[A-Za-z][\w-]*)?((?:[.#][\w-]+)*)")
_PART: Final = re.compile(r"[.#][\w-]+")

Specificity: TypeAlias = tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class Compound:
    """One element of a selector; `child` says that the one before it is its parent, not just round it."""

    tag: str
    id: str
    classes: frozenset[str]
    child: bool = False

    def fits(self, node: Node) -> bool:
        """Whether an element is meant."""
        if self.tag and self.tag != node.tag:
            return False
        if self.id and self.id != node.attributes.get("id"):
            return False
        return not self.classes or self.classes <= set(node.attributes.get("class", "")[:_LONGEST].split())


@dataclass(frozen=True, slots=True)
class Rule:
    """What a selector says; `order` is its place among the rules."""

    selector: tuple[Compound, ...]
    said: dict[str, tuple[str, bool]]
    weight: Specificity
    order: int

    def fits(self, node: Node, above: Sequence[Node]) -> bool:
        """Whether it speaks of the element that lies within `above`, outermost first."""
        if not self.selector[-1].fits(node):
            return False
        at = len(above)
        for i in range(len(self.selector) - 2, -1, -1):
            at -= 1
            if self.selector[i + 1].child:
                if at < 0 or not self.selector[i].fits(above[at]):
                    return False
                continue
            while at >= 0 and not self.selector[i].fits(above[at]):
                at -= 1
            if at < 0:
                return False
        return True


@dataclass(slots=True)
class Sheet:
    """The rules of all style sheets, by what their last element must have; `unread` are selectors not followed."""

    by_key: dict[str, list[Rule]] = field(default_factory=dict)
    count: int = 0
    unread: list[str] = field(default_factory=list)
    steps: int = MOST_STEPS

    def of(self, node: Node, above: Sequence[Node]) -> dict[str, str]:
        """What holds for an element: its attributes, then rules, then its style, `!important` last."""
        attributes = node.attributes
        found: dict[str, str] = {key: attributes[key] for key in _ATTRIBUTES if key in attributes}
        style = node.attributes.get("style")
        if not self.by_key and style is None:
            return found
        said: list[tuple[tuple[bool, bool, Specificity, int], str, str]] = []
        if self.by_key:
            keys = ["*", node.tag, *("." + name for name in node.attributes.get("class", "")[:_LONGEST].split())]
            if "id" in node.attributes:
                keys.append("#" + node.attributes["id"])
            for key in keys:
                rules = self.by_key.get(key, ())
                self.steps -= len(rules)
                if self.steps < 0:
                    raise ValueError("its style sheets have too many rules for so many elements")
                for rule in rules:
                    if rule.fits(node, above):
                        for name, (value, loud) in rule.said.items():
                            said.append(((loud, False, rule.weight, rule.order), name, value))
        if style is not None:
            for name, (value, loud) in declarations(style).items():
                said.append(((loud, True, (0, 0, 0), 0), name, value))
        for _, name, value in sorted(said, key=lambda entry: entry[0]):
            found[name] = value
        return found


def declarations(text: str) -> dict[str, tuple[str, bool]]:
    """The declarations that are heard, each with whether it is `!important`."""
    found: dict[str, tuple[str, bool]] = {}
    for part in _COMMENT.sub(" ", text).split(";") if "/*" in text else text.split(";"):
        name, colon, value = part.partition(":")
        name = name.strip().lower()
        if not colon or name not in HEARD:
            continue
        value = value.strip().lower()
        loud = value.endswith("important") and "!" in value
        value = value.rpartition("!")[0].strip() if loud else value
        if name not in found or loud or not found[name][1]:
            found[name] = (value, loud)
    return found


def sheet_of(texts: Sequence[str]) -> Sheet:
    """The rules of style sheets that say anything that is heard. Takes time in proportion to their length."""
    sheet = Sheet()
    for text in texts:
        text = _COMMENT.sub(" ", text).replace("<!--", " ").replace("-->", " ")
        at = 0
        while (brace := text.find("{", at)) >= 0:
            head = text[at:brace].rpartition(";")[2].strip() if "@" in text[at:brace] else text[at:brace].strip()
            if head.startswith("@"):
                end = _block_end(text, brace)
                if any(name in text[brace:end] for name in ("display", "visibility")):
                    sheet.unread.append(" ".join(head.split())[:60])
                at = end
                continue
            end = text.find("}", brace)
            end = len(text) if end < 0 else end
            said = declarations(text[brace + 1 : end])
            if said:
                for selector in head.split(","):
                    _add(sheet, selector.strip(), said)
            at = end + 1
    return sheet


def _block_end(text: str, brace: int) -> int:
    depth = 0
    for match in re.finditer(r"[{}]", text[brace:]):
        depth += 1 if match[0] == "{" else -1
        if depth == 0:
            return brace + match.end()
    return len(text)


def _add(sheet: Sheet, spelt: str, said: dict[str, tuple[str, bool]]) -> None:
    parts: list[Compound] = []
    ids = classes = tags = 0
    child = False
    for word in spelt.replace(">", " > ").split():
        if word == ">":
            child = True
            continue
        match = _COMPOUND.fullmatch(word)
        if match is None or not word:
            parts = []
            break
        marks = _PART.findall(match[2])
        tag = "" if match[1] in (None, "*") else match[1]
        named = [mark[1:] for mark in marks if mark[0] == "#"]
        ids, tags = ids + len(named), tags + bool(tag)
        kinds = frozenset(mark[1:] for mark in marks if mark[0] == ".")
        classes += len(kinds)
        parts.append(Compound(tag, named[0] if named else "", kinds, child and bool(parts)))
        child = False
    if not parts or sheet.count >= MOST_RULES:
        if {"display", "visibility", "transform"} & said.keys():
            sheet.unread.append(spelt[:60])
        return
    last = parts[-1]
    key = f"#{last.id}" if last.id else f".{min(last.classes)}" if last.classes else last.tag or "*"
    sheet.by_key.setdefault(key, []).append(Rule(tuple(parts), said, (ids, classes, tags), sheet.count))
    sheet.count += 1
