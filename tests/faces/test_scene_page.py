"""The scene to share: self-contained, forbidden to ask outside, and seen in a real browser."""

from __future__ import annotations

import base64
import dataclasses
import hashlib
import json
import re
import shutil
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from fake_plan import fake_plan

from partline.errors import PlanFileError
from partline.faces.scene_page import scene_html, write_scene
from partline.plan import Plan

HOSTILE = '</script><script>alert(1)</script> "grey" & {{ 7 * 6 }}'
BROWSER = shutil.which("chromium") or shutil.which("google-chrome")


@pytest.fixture(scope="module")
def plan() -> Plan:
    return fake_plan()


def test_policy_names_exactly_what_is_in_the_file(plan: Plan) -> None:
    """CSP Level 3 (W3C): a hash source is the base64 of the SHA-256 of the element's text."""
    page = scene_html(plan)
    policy = re.search(r'Content-Security-Policy" content="([^"]*)"', page)
    assert policy is not None
    assert policy.group(1).startswith("default-src 'none';")
    for source in ("script", "style"):
        (text,) = re.findall(rf"<{source}>(.*?)</{source}>", page, re.DOTALL)
        digest = base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
        assert f"{source}-src 'sha256-{digest}'" in policy.group(1)
    assert "unsafe" not in policy.group(1)
    assert "http" not in page.replace("http-equiv", "")
    assert not re.search(r"\b(src|href)=", page)


def test_what_the_user_typed_stays_text(plan: Plan) -> None:
    job = plan.job.model_copy(update={"name": HOSTILE})
    box = dataclasses.replace(plan.container, name=HOSTILE)
    page = scene_html(dataclasses.replace(plan, job=job, container=box))
    assert page.count("<script") == 3
    assert "alert(1)</script>" not in page
    assert "&lt;/script&gt;&lt;script&gt;alert(1)" in page


def test_words_and_spelling(plan: Plan) -> None:
    page = scene_html(plan, spelling="US")
    assert 'lang="en-US"' in page
    facts = json.loads(re.findall(r'id="facts">(.*?)</script>', page, re.DOTALL)[0])
    assert {t["word"] for t in facts["tags"]} == {"front", "cut 1", "cut 2", "1"}
    british = scene_html(plan)
    for said in ("50 mm tall · 9 oz cup", "never past 58 mm", "as it stands", "turned over"):
        assert said in british


def test_only_over_our_own(plan: Plan, tmp_path: Path) -> None:
    path = write_scene(plan, tmp_path / "new")
    write_scene(plan, path.parent)
    path.write_text("mine")
    with pytest.raises(PlanFileError, match="nothing was written"):
        write_scene(plan, path.parent)
    assert path.read_text() == "mine"


def looked_at(page: Path, folder: Path) -> tuple[str, set[str], Path]:
    """Open a file in the browser: what it logged, which addresses were asked for, its picture."""
    log, shot = folder / f"{page.stem}-net.json", folder / f"{page.stem}.png"
    done = subprocess.run(
        [str(BROWSER), "--headless", "--no-sandbox", "--no-first-run", "--use-gl=angle",
         "--use-angle=swiftshader", "--enable-unsafe-swiftshader",
         "--disable-background-networking", "--disable-component-update", "--disable-sync",
         "--host-resolver-rules=MAP * ~NOTFOUND", f"--user-data-dir={folder / page.stem}",
         "--window-size=1000,700", "--virtual-time-budget=8000", "--enable-logging=stderr",
         f"--log-net-log={log}", f"--screenshot={shot}", page.as_uri()],
        check=True, capture_output=True, timeout=180, text=True,
    )  # fmt: skip
    asked = re.findall(r'"url":"((?:https?|wss?)://([^/"]*)[^"]*)"', log.read_text("utf-8"))
    # The browser calls its maker by itself, whatever page is open.
    own = re.compile(r"(^|\.)(google|googleapis|gvt1|gstatic)\.com(:\d+)?$")
    return done.stderr, {url for url, host in asked if not own.search(host)}, shot


@pytest.mark.slow
@pytest.mark.skipif(BROWSER is None, reason="no Chromium to look with")
def test_seen_in_a_browser_with_no_request(plan: Plan, tmp_path: Path) -> None:
    image = pytest.importorskip("PIL.Image")
    control = tmp_path / "control.html"
    control.write_text('<img src="http://outside.invalid/x.png">')
    _, asked, _ = looked_at(control, tmp_path)
    assert asked == {"http://outside.invalid/x.png"}  # the log would show it
    said, asked, shot = looked_at(write_scene(plan, tmp_path), tmp_path)
    assert not asked
    assert "Content Security Policy" not in said
    assert "CONSOLE" not in said, said
    pixels = np.asarray(image.open(shot).convert("RGB")).astype(int)[:, :640]
    near = [np.abs(pixels - np.array(c)).sum(axis=2) < 40 for c in
            ((0x9A, 0x3F, 0x86), (0xB3, 0x4F, 0x00))]  # fmt: skip
    # numbered air, labelled cuts, and a shaded body: many greys of stone
    assert all(mask.sum() > 60 for mask in near)
    stone = pixels[(pixels.max(axis=2) < 245) & (np.ptp(pixels, axis=2) < 60)]
    assert len(stone) > 20_000
    assert len(np.unique(stone[:, 0])) > 40
