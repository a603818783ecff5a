"""The page in Streamlit's own test runner: what it shows and holds, by name."""

import html
import json
import logging
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from streamlit.testing.v1 import AppTest

from pondkit import Project, save
from pondkit.page.form import enter
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
    def rows(self) -> dict[str, dict[str, Any]]:
        """The rows of the form by their ids, those in open folds too."""

        def inside(rows: list[dict[str, Any]]) -> Iterator[dict[str, Any]]:
            for row in rows:
                yield row
                yield from inside(row.get("rows", []))

        forms = [e for e in self.app.get("bidi_component") if (e.key or "").startswith("form ")]
        return {row["id"]: row for form in forms for row in inside(json.loads(form.proto.bytes)["rows"])}

    @property
    def keys(self) -> list[str]:
        """Paths of all inputs on show, in order."""
        kinds = ("quantity", "choice", "names", "switch", "text")
        tables = [element.key.partition(":")[2] for element in self.app.text_area if element.key]
        shown = {id_: row for id_, row in self.rows.items() if row["kind"] in kinds}
        return [
            row["switch"] if row["kind"] == "quantity" and row["value"] is None else id_
            for id_, row in shown.items()
            if not id_.endswith((":chosen", ":at"))
        ] + tables

    def row(self, end: str) -> dict[str, Any]:
        """What a row of the form shows, by the end of its id."""
        (found,) = [row for id_, row in self.rows.items() if f":{id_}".endswith(end)]
        return found

    def slider(self, path: str) -> dict[str, Any]:
        """What a slider shows."""
        return self.rows[path]

    def picture(self, name: str) -> dict[str, Any]:
        """What a picture shows; an empty one where it is not there."""
        found = [e for e in self.app.get("bidi_component") if e.key == name]
        return dict(json.loads(found[0].proto.bytes)) if found else {}

    @property
    def texts(self) -> str:
        """Captions, notes and texts of the page."""
        stock = [element.value for kind in (self.app.caption, self.app.info, self.app.markdown) for element in kind]
        return "\n".join([*stock, *(row["label"] for row in self.rows.values() if row["kind"] == "words")])

    # --- what a person does ---

    def unfold(self, *keys: str) -> "Sketch":
        """Opens folds and menus by their keys; all that are there without a key. They stay open."""
        stock = [block.key for kind in ("expander", "popover") for block in self.app.get(kind) if block.key]
        for key in keys or stock:
            if key in stock:
                self.app.session_state[key] = True
        self.desk.form.folds.update(dict.fromkeys(keys, True))
        self.run()
        while not keys and (shut := [i for i, row in self.rows.items() if row["kind"] == "fold" and not row["open"]]):
            self.desk.form.folds.update(dict.fromkeys(shut, True))
            self.run()
        return self

    def _buttons(self, name: str) -> list[dict[str, Any]]:
        every = [button for row in self.rows.values() for button in row.get("buttons", [])]
        return [b for b in every if name in (b["label"], b["help"]) or f":{b['id']}".endswith(name)]

    def press(self, name: str) -> "Sketch":
        """A button by its label, or by the end of its key."""
        stock = [b for b in self.app.button if b.label == name or (b.key or "").endswith(name)]
        own = self._buttons(name)
        assert len(stock) + len(own) == 1, f"{len(stock) + len(own)} buttons are called {name!r}"
        assert not (stock[0].disabled if stock else own[0]["disabled"])
        if stock:
            stock[0].click()
        else:
            self.do(own[0]["id"])
        return self.run()

    def can_press(self, name: str) -> bool:
        stock = [b.disabled for b in self.app.button if b.label == name or (b.key or "").endswith(name)]
        return not all([*stock, *(b["disabled"] for b in self._buttons(name))])

    def choose(self, start: str, value: Any) -> "Sketch":
        """One of a row of choices, by the start of its key."""
        own = [id_ for id_, row in self.rows.items() if row["kind"] == "pick" and id_.startswith(start)]
        if own:
            (id_,) = own
            return self.enter(id_, str(value))
        (found,) = [g for g in self.app.get("button_group") if g.key and g.key.startswith(start)]
        found.set_value(value)
        return self.run()

    def enter(self, id_: str, value: Any, drag: int = 1) -> "Sketch":
        """What is entered in a row of the form."""
        if self.rows[id_].get("options") and not isinstance(value, list):
            assert value in [option[0] for option in self.rows[id_]["options"]]
        self.do(id_, value, drag)
        return self.run()

    def do(self, id_: str, value: Any = True, drag: int = 1) -> None:
        """What the form's callback does with an entry; a fault in it is kept, as ``guarded`` does."""
        (name,) = [
            name for name, acts in self.desk.form.actions.items() if id_ in acts
        ]  # no such row is the test's own fault
        try:
            enter(self.desk, name, id_, value, drag)
        except Exception:
            logging.getLogger(__name__).exception("an entry of the form failed")  # a failed test shows the trace
            self.desk.fault = True

    def select(self, end: str, value: Any) -> "Sketch":
        """One of a list, by the end of the list's key."""
        return self.enter(self.row(end)["id"], value)

    @property
    def _pictures(self) -> Any:
        (found,) = [box for box in self.app.selectbox if (box.key or "").startswith("pictures of")]
        return found

    @property
    def parts_with_pictures(self) -> list[str]:
        """Parts that have further pictures."""
        return list(self._pictures.options)

    def pictures_of(self, part: str) -> "Sketch":
        """Offers the further pictures of a part."""
        self._pictures.set_value(part)
        return self.run()

    def write(self, end: str, text: str) -> "Sketch":
        """A text, by the end of its field's key."""
        return self.enter(self.row(end)["id"], text)

    def switch(self, end: str, on: bool) -> "Sketch":
        """A switch, or that of a quantity that may be left out, by the end of its id."""
        (id_,) = {
            id_ for row in self.rows.values() for id_ in (row["id"], row.get("switch")) if f":{id_}".endswith(end)
        }
        self.do(id_, on)
        return self.run()

    def slide(self, path: tuple[str | int, ...], text: Any, drag: int = 1) -> "Sketch":
        """What a slider's row does with a text, then the run after it."""
        self.desk.enter(path, text, drag, "/".join(map(str, path)), text)
        return self.run()

    def upload(self, data: bytes, name: str = "mine.json") -> "Sketch":
        self.unfold("file").app.file_uploader(key="upload").upload(name, data, "application/json")
        return self.run()
