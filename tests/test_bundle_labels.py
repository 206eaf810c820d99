"""Labels of bundles: what they say adds up, stays inside, and is what a reader of codes reads."""

from __future__ import annotations

import io
import re
from collections import Counter
from typing import Any

import pdfplumber
import pypdfium2
import pytest
from test_gate_leaves import STREET
from test_sheets import FEET

from helpers import EXAMPLES, example_fence, fence_of
from palewright.export.models.product import Product
from palewright.export.outputs.registry import OUTPUTS
from palewright.export.papers.bundle_labels import (
    COLUMNS,
    LABEL,
    PAGE,
    ROWS,
    bundle_labels,
    code_of,
    corner,
    labels_pdf,
)
from palewright.model.fence.fence_model import FenceModel

MM = 72.0 / 25.4

WORDY: dict[str, Any] = {
    **STREET,
    "project": {"name": "Wörtlich & Söhne, " * 11, "reference": "W" * 60},
    "run": [{**STREET["run"][0], "name": "the long way round " * 4}],
}
"""Names as long as a spec may have them."""

FENCES = {path.stem: example_fence(path) for path in EXAMPLES} | {
    name: fence_of(spec) for name, spec in (("street", STREET), ("feet", FEET), ("wordy", WORDY))
}


@pytest.fixture(params=FENCES)
def fence(request: pytest.FixtureRequest) -> FenceModel:
    return FENCES[request.param]


def test_labels_have_all_that_is_carried(fence: FenceModel) -> None:
    """Counts of all labels are those of the fence; concrete and posts that stand have none."""
    said: Counter[str] = Counter()
    for label in bundle_labels(fence):
        for line in label.lines:
            found = re.match(r"([A-Z]{2}\d+)  (\d+) ", line)
            if found:
                said[found[1]] += int(found[2])
    wanted = Counter(m.mark for m in fence.members if m.kind.prefix not in ("FO", "KE"))
    assert said == wanted


def test_every_bay_and_gate_has_a_label(fence: FenceModel) -> None:
    headings = {re.sub(r"  \(.*", "", label.heading) for label in bundle_labels(fence)}
    assert headings == {member.group for member in fence.members}


def test_words_and_codes_stay_inside_their_labels(fence: FenceModel) -> None:
    """By the letters and bars in the PDF, each within one label and 2 mm from its edge."""
    labels = bundle_labels(fence)
    boxes = [corner(place) for place in range(COLUMNS * ROWS)]
    with pdfplumber.open(io.BytesIO(labels_pdf(fence))) as pdf:
        assert len(pdf.pages) == -(-len(labels) // len(boxes))
        page = pdf.pages[0]
        assert (round(page.width / MM), round(page.height / MM)) == PAGE
        for item in (*page.chars, *page.curves, *page.rects):
            x0, x1 = item["x0"] / MM, item["x1"] / MM
            y0, y1 = PAGE[1] - item["bottom"] / MM, PAGE[1] - item["top"] / MM
            assert any(
                x + 2.0 <= x0 and x1 <= x + LABEL[0] - 2.0 and y + 2.0 <= y0
                and y1 <= y + LABEL[1] - 2.0 + 0.7
                for x, y in boxes
            ), item  # fmt: skip


def test_labels_stand_apart_on_the_sheet() -> None:
    corners = [corner(place) for place in range(COLUMNS * ROWS)]
    assert min(x for x, _ in corners) >= 0.0
    assert max(x for x, _ in corners) + LABEL[0] <= PAGE[0] + 1e-9
    assert min(y for _, y in corners) >= 0.0
    for a in corners:
        for b in corners:
            apart = abs(a[0] - b[0]) >= LABEL[0] - 1e-9 or abs(a[1] - b[1]) >= LABEL[1] - 1e-9
            assert a == b or apart


def test_codes_are_read_as_what_the_labels_say(fence: FenceModel) -> None:
    """Printed at 200 dots to the inch and read by a library that had no part in writing them."""
    reader = pytest.importorskip("zxingcpp")
    read = []
    document = pypdfium2.PdfDocument(labels_pdf(fence))
    for page in document:
        picture = page.render(scale=200.0 / 72.0).to_pil()
        read += [code.text for code in reader.read_barcodes(picture)]
    assert Counter(read) == Counter(label.text for label in bundle_labels(fence))


def test_a_code_has_its_finder_patterns() -> None:
    """Rings of 1:1:3:1:1 in three corners (ISO/IEC 18004, from memory)."""
    for text in ("A bay 01", "Wörtlich " * 30):
        modules = code_of(text)
        size = len(modules)
        assert (size - 17) % 4 == 0
        ring = [True, False, True, True, True, False, True]
        for row, column in ((3, 0), (3, size - 7), (size - 4, 0)):
            assert modules[row][column : column + 7] == ring
        assert modules[size - 4][size - 7 :] != ring


def test_labels_are_an_output_that_is_asked_for() -> None:
    output = next(one for one in OUTPUTS if one.name == "labels")
    assert output.asked
    built = Product(FENCES["cottage"])
    files = output.make(built, "cottage")
    assert list(files) == ["cottage-labels.pdf"]
    assert files == output.make(Product(FENCES["cottage"]), "cottage")
