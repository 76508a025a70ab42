"""The entry in the desktop's menu: complete, in the user's own folder, and only when asked."""

from __future__ import annotations

import configparser
import shutil
import subprocess
import sys
import xml.etree.ElementTree as ET

import pytest

from partline.errors import PlanFileError
from partline.faces import desktop
from partline.faces.cli import main

pytestmark = pytest.mark.skipif(
    not sys.platform.startswith("linux"), reason="an entry of Linux desktops"
)


def test_the_entry_names_the_program_and_its_picture(tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "own data"))
    assert main(["view", "--desktop-entry"]) == 0
    entry = tmp_path / "own data" / "applications" / "partline.desktop"
    assert str(entry) in capsys.readouterr().out
    read = configparser.ConfigParser(interpolation=None)
    read.optionxform = str  # type: ignore[assignment]
    read.read(entry, encoding="utf-8")
    keys = read["Desktop Entry"]
    assert (keys["Type"], keys["Terminal"]) == ("Application", "false")
    assert keys["Exec"].endswith(" view %f")
    assert ET.parse(keys["Icon"]).getroot().tag.endswith("svg")
    if shutil.which("desktop-file-validate"):
        subprocess.run(["desktop-file-validate", str(entry)], check=True)
    # Asked for again it is written again, with nothing left beside it.
    assert main(["view", "--desktop-entry"]) == 0
    assert [p.name for p in entry.parent.iterdir()] == ["partline.desktop"]


def test_a_path_with_a_space_is_quoted(monkeypatch, tmp_path):
    monkeypatch.setattr(desktop, "_command", lambda: '/home/a b/par"t/partline')
    entry, _ = desktop.write_entry(tmp_path)
    assert 'Exec="/home/a b/par\\\\"t/partline" view %f' in entry.read_text(encoding="utf-8")


def test_a_folder_that_cannot_be_written_is_said(tmp_path):
    (tmp_path / "applications").write_text("in the way", encoding="utf-8")
    with pytest.raises(PlanFileError, match="cannot be written"):
        desktop.write_entry(tmp_path)
