"""What a beginner gets wrong, each with the whole message."""

from __future__ import annotations

import random
import time
from collections import Counter
from pathlib import Path

import pytest
from human_slips import slipped, told_where

from helpers import EXAMPLES
from palewright.model.basis.errors import SpecError
from palewright.model.spec.price_file import read_prices
from palewright.reading import parse_job, read_job

GOOD = '[[run]]\npoints = [[0, 0], ["9 m", 0]]\n'
TOP = (
    "capping, concrete, corners, cut, delivery, extra, feature, finishes, firm, fixings, "
    "footings, gates, joinery, kick_board, limits, measured, offer, painting, pales, panels, "
    "posts, prices, project, rails, revision, rules, run, sheets, slopes, soil, splay, strength, "
    "survey, timber, top_line, walls, wind, work"
)
PALES = (
    "clearance, ends, gap, gap_max, head, length, on, overlap, ready_shaped, spaced, thickness, "
    "turns, turns_from, width"
)


def told(text: str) -> list[str]:
    with pytest.raises(SpecError) as caught:
        parse_job(text, "garden.toml")
    return str(caught.value).splitlines()


ONE = [
    # quotes
    ('[pales]\nwidth = "90 mm\n',
     ':4: pales.width: the quote is not closed; write "90 mm" (found "90 mm)'),
    ("[pales]\nwidth = '90 mm  # planed\n",
     ":4: pales.width: the quote is not closed; write \"90 mm\" (found '90 mm)"),
    ('[pales]\nwidth = "90\n', ':4: pales.width: the quote is not closed; write 90 (found "90)'),
    ("[project]\nname = “Fence”\n",
     ':4: project.name: curly quotes are not quotes to this program; write "Fence" '
     "(found “Fence”)"),
    ("[pales]\nhead = pointed\n",
     ':4: pales.head: words stand in quotes; write "pointed" (found pointed)'),
    ("[pales]\nready_shaped = yes\n", ":4: pales.ready_shaped: write true (found yes)"),
    ('[survey]\nfile = "jobs\\garden.csv"\n',
     ":4: survey.file: a backslash has a meaning of its own in quotes; write "
     '"jobs/garden.csv" (found "jobs\\garden.csv")'),
    # numbers and units
    ("[pales]\ngap = 4,5\n",
     ':4: pales.gap: a decimal comma; write 4.5, or with its unit "4.5 m" (found 4,5)'),
    ("[pales]\ngap = 1,000\n",
     ':4: pales.gap: a comma, of thousands or of decimals? write 1000, or "1 m" (found 1,000)'),
    ('[pales]\ngap = "4,5 in"\n',
     ':4: pales.gap: not a length; write "4.5 in" (found "4,5 in")'),
    ('[pales]\ngap = 4"\n',
     ':4: pales.gap: a length with its unit stands in quotes; write "4 in" (found 4")'),
    ("[posts]\nbay = 1.8 m\n",
     ':4: posts.bay: a length with its unit stands in quotes; write "1.8 m" (found 1.8 m)'),
    ("[posts]\nbay = 5'6\"\n",
     ':4: posts.bay: a length with its unit stands in quotes; write "5 ft 6 in" (found 5\'6")'),
    ('[posts]\nbay = "5\'6""\n',
     ":4: posts.bay: feet and inches in quotes are written with ft and in; write "
     '"5 ft 6 in" (found "5\'6"")'),
    ('[posts]\nbay = "5\'6"\n',
     ':4: posts.bay: not a length; write "5 ft 6 in" (found "5\'6")'),
    ('[pales]\ngap = "2½ in"\n',
     ':4: pales.gap: not a length; write "2 1/2 in" (found "2½ in")'),
    ('[posts]\nbay = "1.05"\n',
     ':4: posts.bay: 1.05 mm or 1.05 m? in quotes a length has its unit: "1.05 mm" or '
     '"1.05 m" (found "1.05")'),
    ('[posts]\nbay = "1.8 mtrs"\n',
     ':4: posts.bay: not a length; write "1.8 m" (found "1.8 mtrs")'),
    ('[posts]\nbay = "2 yards"\n',
     ":4: posts.bay: 'yards' is not a unit of length; allowed: mm, cm, m, in, ft "
     '(found "2 yards")'),
    ("[posts]\nbay = 1.8\n",
     ':4: posts.bay: 1.8 is 1.8 mm: 1.8 m? write "1.8 m", or '
     '"1.8 mm" where that is meant (found 1.8)'),
    ("[posts]\nsection = [0.1, 100]\n",
     ':4: posts.section[1]: 0.1 is 0.1 mm: 0.1 m? write "0.1 m", '
     'or "0.1 mm" where that is meant (found 0.1)'),
    ("[posts]\nsection = 100 x 100\n",
     ":4: posts.section: two sizes are a list; write [100, 100] (found 100 x 100)"),
    ("[pales]\nwidth = 09\n", ":4: pales.width: a number is written 9 (found 09)"),
    ("[pales]\ngap =\n", ":4: pales.gap: a value is missing behind the ="),
    # brackets, commas, equals signs
    ("[posts]\nsection = [100, 100\n",
     ":4: posts.section: '[' is not closed by ']' (found [100, 100)"),
    ("[posts]\nsection = (100, 100)\n",
     ":4: posts.section: a list stands in square brackets [ ] (found (100, 100))"),
    ("[posts]\nsection = [100 100]\n",
     ":4: posts.section: a comma is missing before this (found 100])"),
    ("[pales]\nhead = { shape: 'pointed' }\n",
     ":4: pales.head: between key and value stands =, not a colon (found : 'pointed' })"),
    ("[pales]\nwidth: 90\n",
     ":4: pales.width: between key and value stands =, not a colon (found width: 90)"),
    ("[pales]\nwidth 90\n", ":4: pales.width: = is missing behind width (found width 90)"),
    ("[pales]\ngap max = 90\n",
     ":4: pales.gap_max: a key has no blanks; write gap_max (found gap max = 90)"),
    ("[pales]\nwidth = 90;\n",
     ":4: pales.width: nothing stands behind a value but a remark, which begins with # (found ;)"),
    ("[pales]\nwidth = 90\nall of them planed\n",
     ":5: is no heading in [ ] and no key with = and a value; a remark begins with # "
     "(found all of them planed)"),
    # tables
    ("[pales\nwidth = 90\n",
     ":3: a heading stands alone, in brackets that close; write [pales] (found [pales)"),
    ("[[run.gate]\nat = 3000\n",
     ":3: a heading stands alone, in brackets that close; write [[run.gate]] "
     "(found [[run.gate])"),
    ("[pales] width = 90\n",
     ":3: a heading stands on a line of its own (found [pales] width = 90)"),
    ("pales\nwidth = 90\n", ":3: a heading stands in brackets; write [pales] (found pales)"),
    ("[pales]\ngap = 60\n[posts]\n[pales]\nwidth = 90\n",
     ":6: this table stands on line 3 already; put its keys together there (found [pales])"),
    ("[pales]\ngap = 60\ngap = 80\n",
     ":5: pales.gap: stands here twice, on line 4 too; keep one (found 80)"),
    ("[run]\npoints = [[0, 5000], [9000, 5000]]\n",
     ":3: there are several of these; write [[run]] (found [run])"),
    ("[[pales]]\nwidth = 90\n",
     ":3: pales: there is one of this table; write [pales]"),
    ("[gate]\nat = 3000\n",
     ":3: gate: unknown key; write [[run.gate]], below the [[run]] it is in; allowed here: " + TOP),
    ("[[gate]]\nat = 3000\n",
     ":3: gate: unknown key; write [[run.gate]], below the [[run]] it is in; allowed here: " + TOP),
    # keys
    ("[pales]\nlenght = 900\n",
     f":4: pales.lenght: unknown key; did you mean 'length'? allowed here: {PALES} (found 900)"),
    ("[pales]\nembedment = 600\n",
     ":4: pales.embedment: unknown key; it stands in [run.gate.post] or [posts]; allowed here: "
     f"{PALES} (found 600)"),
    ("[pales]\nglaze = 2\n",
     ":4: pales.glaze: unknown key; palewright 0.1.0 has none of this name; allowed here: "
     f"{PALES} (found 2)"),
]  # fmt: skip


@pytest.mark.parametrize(("more", "said"), ONE, ids=[said[4:60] for _, said in ONE])
def test_a_mistake_gets_its_line_its_value_and_what_to_write(more: str, said: str) -> None:
    found = told(GOOD + more)
    assert found[0] == "garden.toml" + said
    assert all(line.startswith("garden.toml" + said.split(" ")[0].split(".")[0]) for line in found)


def test_a_line_in_metres_is_asked_for() -> None:
    assert told("[[run]]\npoints = [[0, 0], [9, 0]]\nlevels = [[0, 0.25]]\n") == [
        'garden.toml:2: run[1].points[2][1]: 9 is 9 mm: 9 m? write "9 m", or "9 mm" '
        "where that is meant (found 9)",
        "garden.toml:3: run[1].levels[1][2]: 0.25 is 0.25 mm: 0.25 m? write "
        '"0.25 m", or "0.25 mm" where that is meant (found 0.25)',
    ]


def test_two_mistakes_come_at_once_of_whatever_kind() -> None:
    text = '[[run]]\npoints = [[0, 0], ["9 m, 0]]\n  [[run.gate]\n  at = 3 m\n'
    assert told(text + "[pales]\nwidht = 90\ngap = -5\n")[:4] == [
        'garden.toml:2: run[1].points: the quote is not closed; write "9 m" (found "9 m)',
        "garden.toml:3: a heading stands alone, in brackets that close; write [[run.gate]] "
        "(found [[run.gate])",
        'garden.toml:4: run[1].gate[1].at: a length with its unit stands in quotes; write "3 m" '
        "(found 3 m)",
        f"garden.toml:6: pales.widht: unknown key; did you mean 'width'? allowed here: {PALES} "
        "(found 90)",
    ]
    assert told(text + "[pales]\nwidht = 90\ngap = -5\n")[4:] == [
        "garden.toml:7: pales.gap: must be 0 or more (found -5)"
    ]


def test_one_table_is_a_list_of_one() -> None:
    one = "[run]\npoints = [[0, 0], [9000, 0]]\n[run.gate]\nat = 3000\n"
    many = one.replace("[run]", "[[run]]").replace("[run.gate]", "[[run.gate]]")
    assert parse_job(one) == parse_job(many)
    assert told(one + "opening = 1\n") == [
        'garden.toml:5: run[1].gate[1].opening: 1 is 1 mm: 1 m? write "1 m", or "1 mm" '
        "where that is meant (found 1)"
    ]
    assert told(one + "[[run]]\npoints = [[0, 5000], [9000, 5000]]\n") == [
        "garden.toml:5: [run] on line 1 is one table; write [[run]] there too (found [[run]])"
    ]


def test_tabs_are_blanks() -> None:
    text = '\t[[run]]\t# the front\n\tpoints\t=\t[[0,\t0],\t[9000,\t0]]\n[posts]\nbay = "1.8\tm"\n'
    assert parse_job(text).runs[0].posts.bay == 1800.0


@pytest.mark.parametrize("encoding", ["utf-16", "utf-8-sig", "utf-16-le", "utf-16-be"])
def test_files_that_say_how_they_are_written_are_read(tmp_path: Path, encoding: str) -> None:
    path = tmp_path / "garden.toml"
    mark = "\ufeff" if encoding.endswith("e") else ""
    path.write_bytes((mark + GOOD + '[project]\nname = "Höhenweg"\n').encode(encoding))
    assert read_job(path).project.name == "Höhenweg"


def test_how_to_save_a_file_in_other_letters(tmp_path: Path) -> None:
    path = tmp_path / "garden.toml"
    path.write_bytes((GOOD + '[project]\nname = "Höhenweg"\n').encode("latin-1"))
    with pytest.raises(SpecError) as caught:
        read_job(path)
    assert str(caught.value) == (
        f"{path}:4: is not UTF-8 text: a letter here is written in another way; in your editor "
        "save the file with the encoding UTF-8"
    )


def test_price_files_of_a_spreadsheet(tmp_path: Path) -> None:
    rows = [["item", "unit", "price"], ["labour", "h", "38,50"], ["tax", "%", "20"]]
    for name, between in (("a", ";"), ("b", "\t")):
        path = tmp_path / f"{name}.csv"
        path.write_text("\n".join(between.join(row) for row in rows), "utf-8")
        assert float(read_prices(path).items[0].price) == 38.5


def test_nothing_is_told_of_what_is_no_spec() -> None:
    assert told("root:x:0:0\nnobody:*:9:9\n") == [
        "garden.toml:1: is not TOML: neither a heading in [ ] nor a key, = and a sound value, "
        "or one twice"
    ]


def test_slips_of_beginners_are_told_where_they_are() -> None:
    """benchmarks/beginners.py takes 2,000; docs/benchmarks.md has what it printed."""
    ends: Counter[str] = Counter()
    for number in range(400):
        path = EXAMPLES[number % len(EXAMPLES)]
        ends[told_where(slipped(path.read_text("utf-8"), random.Random(number)), path.parent)] += 1
    assert ends["sound"] < 20
    assert ends["first"] >= 0.98 * (400 - ends["sound"]), ends


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ('[pales]\nhead = "Pointed"\n', ":4: pales.head: did you mean 'pointed'? allowed shapes: "),
        ('[soil]\nkind = "Clay"\n', ":4: soil.kind: did you mean 'clay'? allowed: 'bedrock', "),
        ('[posts]\nsection = "4 x 4 in"\n',
         ':4: posts.section: write ["4 in", "4 in"]; must be a list in [ ] (found "4 x 4 in")'),
        ("[pails]\nwidth = 90\n", ":3: pails: unknown key; did you mean 'rails' or 'pales'? "),
        ("[pales]\nheight = 900\n", ":4: pales.height: unknown key; here that is 'length'; "),
        ("[posts]\nspacing = 1800\n", ":4: posts.spacing: unknown key; here that is 'bay'; "),
        ("[posts]\nsize = 100\n", ":4: posts.size: unknown key; here that is 'section'; "),
        ('[pales]\ngap = "3,000"\n',
         ':4: pales.gap: a comma, of thousands or of decimals? write "3000 mm" or "3 m" '),
        ("[[run.gate]]\nat = 3000\nopening = 9000\n",
         ":4: run[1].gate[1].at: the gate's post, its opening 9000 mm wide, comes "),
        ("levels = [[0, 0], [9000, -1.8]]\n",
         ':3: run[1].levels[2][2]: -1.8 is -1.8 mm: -1.8 m? write "-1.8 m", or "-1.8 mm" where '),
    ],
)  # fmt: skip
def test_words_of_others_are_understood(more: str, said: str) -> None:
    assert told(GOOD + more)[0].startswith("garden.toml" + said), told(GOOD + more)


def test_every_length_of_a_line_in_metres_is_asked_for_and_nothing_else() -> None:
    lines = told("[[run]]\npoints = [[0, 0], [7.4, 0], [7.4, 4.2]]\n[[run.gate]]\nat = 3000\n")
    assert [line.split(": ")[1] for line in lines] == [
        "run[1].points[2][1]", "run[1].points[3][1]", "run[1].points[3][2]",
    ]  # fmt: skip
    lines = told('[[run]]\npoints = [[0, 0, 0], ["7.4 m", 0, 0.25]]\n')
    assert [line.split(": ")[1] for line in lines] == ["run[1].points[2][3]"]
    lines = told('[[run]]\npoints = [[0, 0], ["7.4 m", 0], ["7.4 m", 4.2]]\n')
    assert [line.split(": ")[1] for line in lines] == ["run[1].points[3][2]"]


LONG = 3900
"""Letters of a line, near the longest that is looked through."""


def lines_of(piece: str, end: str = "\n") -> str:
    """Return as many long lines of a piece as are looked through."""
    return (piece * (LONG // len(piece)) + end) * (99_000 // (LONG + len(end)))


HARMFUL = {
    "brackets": "[run]\npoints = [" + lines_of("[0,0],") + "x\n",
    "closing ones": "[run]\npoints = [" + lines_of("0],"),
    "quotes": "[run]\npoints = [" + lines_of('"9 m, '),
    "curly quotes": "[run]\nname = " + lines_of("“a” "),
    "blanks": "[run]\n" + lines_of(" ", "b\n"),
    "dashes": "[run]\n" + lines_of("-", "a\n"),
    "words": "[run]\n" + "rubbish here\n" * 7500,
    "keys without commas": "[run]\npoints = { " + lines_of("a=1 "),
    "single tables": "[[run]]\n[run.gate]\n" * 20_000,
    "a line that is too long": "[run]\npoints = [" + "0]," * 60_000,
    "a text that is too long": "[run]\na" + "-" * 3_900_000,
}


@pytest.mark.parametrize("what", HARMFUL)
def test_texts_made_to_do_harm_are_told_in_time(what: str) -> None:
    start = time.process_time()
    assert told(HARMFUL[what])
    assert time.process_time() - start < 2.0
