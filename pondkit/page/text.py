"""A person's text on the page: always as it was typed, never as Markdown, a formula or HTML. No streamlit."""

_JOINER = "\u2060"  # takes no room: what stands on both sides of it is not read as one
_MARKS = set("!\"#$%&'()*+,-./:;<=>?@[\\]^_`{|}~")  # what Markdown lets be escaped (CommonMark 0.31, section 2.4)
_JOINS = set(":.@-<>=")  # of links, emoji and arrows, which are looked for behind the escapes too


def unmarked(text: str) -> str:
    """A text for a label that is read as Markdown, such as a choice of a segmented control: it shows as it was
    typed."""
    return "".join(_shown(mark) for mark in text)


def _shown(mark: str) -> str:
    if mark not in _MARKS:
        return mark
    return f"{_JOINER}\\{mark}{_JOINER}" if mark in _JOINS else f"\\{mark}"
