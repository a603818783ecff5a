"""The page in Streamlit's own test runner: what it shows and holds, by name."""

import html
import json
import re
from pathlib import Path
from typing import Any

from streamlit.testing.v1 import AppTest

from pondkit import Project, save
from pondkit.page.state import Desk

ROOT = Path(__file__).parents[2]
PATIENCE = 60  # s, a first run imports everything


class Sketch:
    """One session of the page. Components are told from each other by their keys; their callbacks are not run here."""

    def __init__(self) -> None:
        self.app = AppTest.from_file(str(ROOT / "app.py"), default_timeout=PATIENCE)
        self.app.session_state["pondkit_plotly_loader"] = {"loaded": True}  # else its script is sent at each run
        self.run()

    def run(self) -> "Sketch":
        self.app.run()
        assert not self.app.exception, [error.value for error in self.app.exception]
        assert not any("could not be drawn" in problem for problem in self.problems)
        return self

    @property
    def desk(self) -> Desk:
        desk = self.app.session_state["desk"]
        assert isinstance(desk, Desk)
        return desk

    @property
    def project(self) -> Project:
        return self.desk.project

    @property
    def saved(self) -> str:
        return save(self.project)

    # --- what it shows ---

    def html(self, part: str) -> list[str]:
        """The blocks of markup of a class."""
        return [block.proto.body for block in self.app.get("html") if f"class='{part}'" in block.proto.body]

    @property
    def problems(self) -> list[str]:
        return [html.unescape(re.sub(r"<[^>]+>", "", body)) for body in self.html("pk-problem")]

    @property
    def figures(self) -> dict[str, tuple[str, str]]:
        """Key figures: label -> (value, change)."""
        (body,) = self.html("pk-figures")
        cells = re.findall(r"<span class='pk-label'>(.*?)(?:<span.*?</span>)?</span><b>(.*?)</b><i>(.*?)</i>", body)
        return {html.unescape(a): (html.unescape(b), html.unescape(c).replace("\xa0", "")) for a, b, c in cells}

    @property
    def keys(self) -> list[str]:
        """Keys of all components and stock widgets that stand for an input, in order, without the revision in front."""
        kinds = (self.app.get("bidi_component"), self.app.selectbox, self.app.text_input, self.app.toggle)
        every = [
            element.key
            for kind in (*kinds, self.app.multiselect, self.app.text_area)
            for element in kind
            if element.key
        ]
        return [key.partition(":")[2] for key in every if re.match(r"\d+:", key)]

    def slider(self, path: str) -> dict[str, Any]:
        """What a slider shows."""
        (found,) = [e for e in self.app.get("bidi_component") if e.key and e.key.partition(":")[2] == path]
        return dict(json.loads(found.proto.json))

    def picture(self, name: str) -> dict[str, Any]:
        """What a picture shows; an empty one where it is not there."""
        found = [e for e in self.app.get("bidi_component") if e.key == name]
        return dict(json.loads(found[0].proto.bytes)) if found else {}

    @property
    def texts(self) -> str:
        """Captions, notes and texts of the page."""
        return "\n".join(
            element.value for kind in (self.app.caption, self.app.info, self.app.markdown) for element in kind
        )

    # --- what a person does ---

    def unfold(self, *keys: str) -> "Sketch":
        """Opens folds and menus by their keys; all that are there without a key. They stay open."""
        folds = [block for kind in ("expander", "popover") for block in self.app.get(kind)]
        for key in keys or [block.key for block in folds if block.key]:
            self.app.session_state[key] = True
        return self.run()

    def press(self, name: str) -> "Sketch":
        """A button by its label, or by the end of its key."""
        found = [b for b in self.app.button if b.label == name or (b.key or "").endswith(name)]
        assert len(found) == 1, (
            f"{len(found)} buttons are called {name!r}: {[b.key or b.label for b in self.app.button]}"
        )
        assert not found[0].disabled
        found[0].click()
        return self.run()

    def can_press(self, name: str) -> bool:
        return any(not b.disabled for b in self.app.button if b.label == name or (b.key or "").endswith(name))

    def choose(self, start: str, value: Any) -> "Sketch":
        """One of a row of choices, by the start of its key."""
        (found,) = [g for g in self.app.get("button_group") if g.key and g.key.startswith(start)]
        found.set_value(value)
        return self.run()

    def select(self, end: str, value: Any) -> "Sketch":
        """One of a list, by the end of the list's key."""
        (found,) = [s for s in (*self.app.selectbox, *self.app.multiselect) if s.key and s.key.endswith(end)]
        found.set_value(value)
        return self.run()

    def write(self, end: str, text: str) -> "Sketch":
        """A text, by the end of its field's key."""
        (found,) = [t for t in self.app.text_input if t.key and t.key.endswith(end)]
        found.set_value(text)
        return self.run()

    def switch(self, end: str, on: bool) -> "Sketch":
        (found,) = [t for t in self.app.toggle if t.key and t.key.endswith(end)]
        found.set_value(on)
        return self.run()

    def slide(self, path: tuple[str | int, ...], text: str, drag: int = 1) -> "Sketch":
        """What a slider's callback does with a text, then the run after it."""
        key = f"{self.desk.history.revision}:" + "/".join(map(str, path))
        self.desk.enter(path, text, drag, key, text)
        return self.run()

    def upload(self, data: bytes, name: str = "mine.json") -> "Sketch":
        self.unfold("file").app.file_uploader(key="upload").upload(name, data, "application/json")
        return self.run()
