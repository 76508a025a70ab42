"""Lines of keys in TOML: every key that the parser finds stands on the line we name."""

from __future__ import annotations

import tomllib

from partline.job_lines import key_lines, line_of

TEXT = '''\
# a comment with = in it
name = "has # and \\" = [x]"
long = """
[not a table]
key = 1
"""
"quoted key" = 1
a.b . c = { d = 1, "e f" = [ # tail
    1,
    { g = 2 },
  ], h = '#' }
[t.u]  # head
x = [[1, 2],
     [3, 4]]
[[list]]
k = 1
[[list]]
# gap
k = 2
[list.sub]
z = 2020-01-01
[[list.deep]]
q = """a""\\""""
[last]
y = 1'''


def test_lines_of_keys() -> None:
    tomllib.loads(TEXT)
    lines = key_lines(TEXT)
    wanted = {
        ("name",): 2, ("long",): 3, ("quoted key",): 7, ("a", "b", "c"): 8,
        ("a", "b", "c", "d"): 8, ("a", "b", "c", "e f"): 8, ("a", "b", "c", "e f", 1, "g"): 10,
        ("a", "b", "c", "h"): 11, ("t", "u"): 12, ("t", "u", "x"): 13, ("t", "u", "x", 1): 14,
        ("list", 0, "k"): 16, ("list", 1): 17, ("list", 1, "k"): 19,
        ("list", 1, "sub", "z"): 21, ("list", 1, "deep", 0, "q"): 23, ("last",): 24,
        ("last", "y"): 25,
    }  # fmt: skip
    assert {key: lines.get(key) for key in wanted} == wanted


def test_the_nearest_thing_round_a_missing_key() -> None:
    lines = key_lines(TEXT)
    assert line_of(lines, ("list", 1, "gone")) == 17
    assert line_of(lines, ("nowhere",)) is None


def test_a_long_list_of_face_numbers_is_no_burden() -> None:
    text = "faces = [\n" + ",\n".join(str(k) for k in range(100_000)) + "\n]\nlast = 1\n"
    lines = key_lines(text)
    assert lines[("faces", 99_999)] == 100_001
    assert lines[("last",)] == 100_003
