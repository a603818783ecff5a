"""What the package itself offers, imported when it is first asked for."""

import subprocess
import sys

import pytest

import pondkit


def test_all_that_the_package_offers_is_there() -> None:
    from pondkit.project import files, project
    from pondkit.study import evaluate

    offered = (project.Project, evaluate.evaluate, files.load, files.save)
    assert [getattr(pondkit, name) for name in pondkit.__all__] == list(offered)


def test_another_name_is_refused() -> None:
    with pytest.raises(AttributeError, match="'pondkit' has no attribute 'nothing'"):
        _ = pondkit.nothing  # type: ignore[attr-defined]


def test_the_page_can_send_its_script_before_the_trades_are_imported() -> None:
    text = "import sys, pondkit.page.components; print([name for name in sys.modules if name.startswith('pondkit.')])"
    done = subprocess.run([sys.executable, "-c", text], capture_output=True, text=True, check=True)
    assert "pondkit.page.components" in done.stdout
    assert "pondkit.trades" not in done.stdout
