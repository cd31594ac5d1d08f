"""A page taken apart: its elements with their attributes and texts."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser

VOID = {"meta", "input", "br", "link", "img", "hr"}


@dataclass
class Node:
    tag: str
    attributes: dict[str, str]
    children: list[Node | str] = field(default_factory=list)

    def all(self, tag: str | None = None) -> list[Node]:
        found = []
        for child in self.children:
            if isinstance(child, Node):
                if tag is None or child.tag == tag:
                    found.append(child)
                found += child.all(tag)
        return found

    def text(self, units: str | None = None) -> str:
        """Its text; with units, only what the page shows in them."""
        hidden = {"metric": "ut", "trade": "um"}.get(units or "")
        parts = []
        for child in self.children:
            if isinstance(child, str):
                parts.append(child)
            elif hidden not in child.attributes.get("class", "").split():
                parts.append(child.text(units))
        return "".join(parts)

    def kinds(self) -> list[str]:
        return self.attributes.get("class", "").split()


class _Builder(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.root = Node("", {})
        self.open = [self.root]

    def handle_starttag(self, tag, attrs):
        node = Node(tag, {key: value or "" for key, value in attrs})
        self.open[-1].children.append(node)
        if tag not in VOID:
            self.open.append(node)

    def handle_startendtag(self, tag, attrs):
        self.open[-1].children.append(Node(tag, {key: value or "" for key, value in attrs}))

    def handle_endtag(self, tag):
        if tag in VOID:
            return
        assert self.open[-1].tag == tag, f"</{tag}> closes <{self.open[-1].tag}>"
        self.open.pop()

    def handle_data(self, data):
        self.open[-1].children.append(data)


def parsed(html: str) -> Node:
    """The page as a tree; it must be well nested."""
    builder = _Builder()
    builder.feed(html)
    builder.close()
    assert builder.open == [builder.root], "an element is not closed"
    return builder.root


def shown_number(text: str) -> float:
    """A number as the page shows it."""
    return float(text.replace("−", "-").replace("+", ""))
