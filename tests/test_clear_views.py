"""Pictures show what they are of: nothing of the site stands between it and the camera."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely
from back_lot import BACK_LOT
from click.testing import CliRunner

from helpers import fence_of
from palewright.export.models.things import thing_meshes
from palewright.export.pictures.camera import VIEWS, Viewpoint, camera_of
from palewright.export.pictures.clear_view import clear_view
from palewright.model.fence.fence_model import FenceModel
from palewright.model.lists.crossings import body_of

HEDGE = {"kind": "hedge", "name": "alley hedge", "width": "3 ft", "height": "8 ft", "clear": 0,
         "points": [["44 ft", "20 ft"], ["44 ft", "60 ft"]]}  # fmt: skip
WALLS = {"kind": "wall", "name": "yard walls", "height": "60 ft", "width": "1 ft",
         "points": [["36 ft 6 in", "30 ft"], ["41 ft", "30 ft"], ["41 ft", "50 ft"],
                    ["36 ft 6 in", "50 ft"]]}  # fmt: skip


def lot(*features: dict[str, Any]) -> FenceModel:
    return fence_of({**BACK_LOT, "feature": [*BACK_LOT["feature"], *features]})


def hidden(fence: FenceModel, view: Viewpoint, left_out: tuple[str, ...] = ()) -> set[str]:
    """Return what stands between the camera and the gate's middle, from plane geometry."""
    eye = np.array(camera_of(fence, view).eye)
    (opening,) = fence.layouts[0].openings
    x = (opening.start + opening.end) / 2.0
    spot = np.array(opening.leg.frame.point((x, 0.0, opening.base + 900.0)))
    found = set()
    tops = {mesh.feature: mesh.points[:, 2].max() for mesh in thing_meshes(fence)}
    for feature, top in tops.items():
        if feature.height == 0.0 or feature.called in left_out:
            continue
        for share in np.linspace(0.0, 1.0, 400):
            place = eye + (spot - eye) * share
            inside = shapely.contains_xy(body_of(feature), place[0], place[1])
            if inside and place[2] < top:
                found.add(feature.called)
    return found


@pytest.mark.parametrize("of", ["gate", "front", "back"])
def test_the_gate_is_seen_past_what_stands_before_it(of: str) -> None:
    fence = lot(HEDGE)
    clear = clear_view(fence, Viewpoint(of))
    left_out = tuple(feature.called for feature in clear.left_out)
    assert hidden(fence, clear.view, left_out) == set()
    assert clear.said if clear.moved or left_out else not clear.said


def test_a_camera_that_would_stand_in_a_hedge_goes_aside_and_says_so() -> None:
    fence = lot(HEDGE)
    assert hidden(fence, Viewpoint("gate")) == {"alley hedge"}
    clear = clear_view(fence, Viewpoint("gate"))
    assert clear.moved and "aside" in clear.said[0] and not clear.left_out


def test_what_hides_the_fence_from_everywhere_is_left_out_and_named() -> None:
    clear = clear_view(lot(WALLS), Viewpoint("gate"))
    assert [feature.called for feature in clear.left_out] == ["yard walls"]
    assert clear.said[-1] == "Left out, as it would hide what is shown: yard walls."


def test_a_place_that_was_asked_for_stays() -> None:
    asked = Viewpoint("gate", azimuth=VIEWS["gate"][0])
    clear = clear_view(lot(HEDGE), asked)
    assert clear.view == asked and [one.called for one in clear.left_out] == ["alley hedge"]


def test_piers_are_in_pictures() -> None:
    gap = {"start": 4000, "end": 4450, "between": "walls", "name": "gate pier"}
    fence = fence_of({"run": [{"points": [[0, 0], [9000, 0]], "gap": [gap]}]})
    (mesh,) = thing_meshes(fence)
    assert mesh.feature.called == "gate pier"
    low, high = mesh.points.min(axis=0), mesh.points.max(axis=0)
    assert (low[0], high[0]) == (4000, 4450)
    assert high[2] == pytest.approx(fence.layouts[0].run.height)


def test_the_command_says_what_it_did(tmp_path: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    from palewright.cli.main import main
    from palewright.export.pictures import picture

    monkeypatch.setattr(picture, "write_picture", lambda built, view: b"\x89PNG")
    spec = tmp_path / "lot.toml"
    spec.write_text(
        '[[run]]\npoints = [[0, 0], ["9 m", 0]]\ngate = [{at = "5 m"}]\n[[feature]]\n'
        'kind = "wall"\nname = "barn wall"\n'
        'points = [["2 m", -500], ["2 m", "-2 m"], ["8 m", "-2 m"], ["8 m", -500]]\n'
        'width = 200\nheight = "9 m"\n',
        encoding="utf-8",
    )
    done = CliRunner().invoke(main, ["picture", str(spec), "-o", str(tmp_path / "a.png"),
                                     "--view", "gate"])  # fmt: skip
    assert done.exit_code == 0, done.output
    assert "barn wall" in done.output
