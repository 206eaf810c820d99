"""The path tracer's own process: a scene on standard input, each pixel's light on standard output.

Run by `renderer` for `traced_picture`, which says what stands in the scene. Ways of light are drawn
from seeds, so that every run takes the same ones; after each pass a line on standard error says so.
"""

from __future__ import annotations

import io
import math
import os
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

VARIANT = "scalar_rgb"
"""One way of light after another: of the library's ways of working the one that needs nothing of
the machine but its processor."""

BOUNCES = 5
"""Surfaces on a way of light, at most."""

SUN_DISC = 0.266
"""Half the angle that the sun takes up in the sky, degrees."""

GOLDEN = math.pi * (3.0 - math.sqrt(5.0))
"""The angle by which places on a disc are turned on, so that they are spread evenly (Vogel)."""

TURBIDITY = 3.0
"""How hazy the air of a dated sky is: clear."""

SHOWN_AS = 1.45
"""The light on a plate that leans back half way towards the sun is shown as this: as bright as the
daylight of the fast picture makes it."""

FAR_GROUND, UNDER = 3e5, 0.05
"""How far the plain reaches, and how far under the lowest ground it lies, m."""

METRES = 1e-3
"""The library's single precision is finest about 1."""


def main() -> None:
    """Read the scene, trace it, write the light."""
    scene = dict(np.load(io.BytesIO(sys.stdin.buffer.read())))
    # the library may write to standard output: keep it clear
    answer = os.dup(1)
    os.dup2(2, 1)
    import mitsuba as mi

    mi.set_variant(VARIANT)
    mi.set_log_level(mi.LogLevel.Error)
    with tempfile.TemporaryDirectory() as folder:
        light = _traced(mi, scene, Path(folder))
    out = io.BytesIO()
    np.savez(out, light=_denoised(light, scene["guides"]))
    with os.fdopen(answer, "wb") as stream:
        stream.write(out.getvalue())


def _traced(mi: Any, scene: dict[str, Any], folder: Path) -> NDArray[np.float32]:
    """Return the light of each pixel (h, w, 3), the mean of all passes."""
    passes, rays = (int(count) for count in scene["effort"])
    dated = bool(scene["dated"])
    sun = scene["sun"] / np.linalg.norm(scene["sun"])
    world = {
        "type": "scene",
        # its hide_emitters ends the process where there are instances (3.9.1)
        "integrator": {"type": "path", "max_depth": BOUNCES},
        "sensor": _sensor(mi, scene, rays),
        **_lights(mi, scene, sun),
        **_things(mi, scene, folder),
    }
    whole = mi.load_dict(world)
    parts = mi.traverse(whole)
    total: NDArray[np.float64] | None = None
    for number in range(passes):
        if not dated:
            parts["sun.to_world"] = _towards(mi, _on_disc(sun, number, passes))
            parts.update()
        image = np.array(mi.render(whole, seed=number, spp=rays), dtype=np.float64)[..., :3]
        total = image if total is None else total + image
        print(f"pass {number + 1}", file=sys.stderr, flush=True)
    assert total is not None
    light = total / passes
    if dated:
        light *= SHOWN_AS / _brightness(mi, scene, sun)
    return np.ascontiguousarray(light, dtype=np.float32)


def _denoised(light: NDArray[np.float32], guides: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return light without the noise of chance. guides : colours and normals, free of noise."""
    import mitsuba_oidn

    made = mitsuba_oidn.denoise(
        light,
        np.ascontiguousarray(guides[..., 0:3]),
        np.ascontiguousarray(guides[..., 6:9]),
        hdr=True,
        clean_aux=True,
    )
    return np.asarray(made, dtype=np.float32)


def _sensor(mi: Any, scene: dict[str, Any], rays: int) -> dict[str, Any]:
    """Return the camera: without depth of field, each pixel the mean of its own area alone."""
    width, height = (int(count) for count in scene["size"])
    eye = (scene["eye"] - scene["target"]) * METRES
    tall = float(scene["tall"])
    return {
        "type": "perspective",
        "fov_axis": "y",
        "fov": math.degrees(2.0 * math.atan(tall)),
        "principal_point_offset_y": -float(scene["lift"]) / (2.0 * tall),
        "near_clip": 0.02,
        "far_clip": 1e6,
        "to_world": mi.ScalarTransform4f().look_at(
            origin=eye.tolist(), target=(eye + scene["forward"] * METRES).tolist(), up=[0, 0, 1]
        ),
        "sampler": {"type": "independent", "sample_count": rays},
        "film": {
            "type": "hdrfilm",
            "width": width,
            "height": height,
            "pixel_format": "rgb",
            "component_format": "float32",
            "rfilter": {"type": "box"},
        },
    }


def _lights(mi: Any, scene: dict[str, Any], sun: NDArray[np.float64]) -> dict[str, Any]:
    """Return sun and sky: of the fast picture, or as a clear sky has them at an hour."""
    if scene["dated"]:
        return {"sky": {"type": "sunsky", "sun_direction": sun.tolist(), "turbidity": TURBIDITY}}
    # a surface sends back its colour by pi of what falls on it
    return {
        "sky": {
            "type": "constant",
            "radiance": {"type": "rgb", "value": scene["skylight"].tolist()},
        },
        "sun": {
            "type": "directional",
            "to_world": _towards(mi, sun),
            "irradiance": {"type": "rgb", "value": (math.pi * scene["sunlight"]).tolist()},
        },
    }


def _towards(mi: Any, sun: NDArray[np.float64]) -> Any:
    """Return the turn that lets light come from a direction."""
    return mi.ScalarTransform4f().look_at(
        origin=[0, 0, 0], target=(-sun).tolist(), up=[0, 1, 0] if abs(sun[1]) < 0.9 else [1, 0, 0]
    )


def _on_disc(sun: NDArray[np.float64], number: int, count: int) -> NDArray[np.float64]:
    """Return the direction to one of some places spread over the sun's disc."""
    side = np.cross(sun, (0.0, 0.0, 1.0) if abs(sun[2]) < 0.9 else (1.0, 0.0, 0.0))
    side /= np.linalg.norm(side)
    away = math.tan(math.radians(SUN_DISC)) * math.sqrt((number + 0.5) / count)
    turn = GOLDEN * number
    moved = sun + away * (math.cos(turn) * side + math.sin(turn) * np.cross(sun, side))
    return np.asarray(moved / np.linalg.norm(moved))


def _things(mi: Any, scene: dict[str, Any], folder: Path) -> dict[str, Any]:
    """Return all that stands: each mesh once, and where it is."""
    world: dict[str, Any] = {}
    ends = (scene["point_ends"].tolist(), scene["triangle_ends"].tolist())
    first, second = 0, 0
    counts = np.bincount(scene["groups"], minlength=len(ends[0]))
    for group, (last, final) in enumerate(zip(*ends, strict=True)):
        points, triangles = scene["points"][first:last], scene["triangles"][second:final]
        first, second = last, final
        alone = counts[group] == 1
        place = scene["places"][np.flatnonzero(scene["groups"] == group)[0]]
        if alone:
            points = points @ place[:3, :3].T + place[:3, 3] - scene["target"]
        file = folder / f"{group}.ply"
        file.write_bytes(_ply(points * METRES, triangles))
        mesh = {
            "type": "ply",
            "filename": str(file),
            "face_normals": True,
            "bsdf": _surface(scene["colours"][group].tolist(), metal=bool(scene["metal"][group])),
        }
        if alone:
            world[f"mesh{group}"] = mesh
        elif counts[group]:
            world[f"group{group}"] = {"type": "shapegroup", "mesh": mesh}
    for number, group in enumerate(scene["groups"].tolist()):
        if counts[group] > 1:
            place = scene["places"][number].copy()
            place[:3, 3] = (place[:3, 3] - scene["target"]) * METRES
            world[f"instance{number}"] = {
                "type": "instance",
                "to_world": mi.ScalarTransform4f(place),
                "group": {"type": "ref", "id": f"group{group}"},
            }
    if scene["dated"]:
        # under the horizon that sky is black: the ground reaches it
        world["plain"] = {
            "type": "disk",
            "to_world": mi.ScalarTransform4f()
            .translate([0.0, 0.0, float(scene["level"]) * METRES - UNDER])
            .scale(FAR_GROUND),
            "bsdf": _surface(scene["colours"][-1].tolist(), metal=False),
        }
    return world


def _surface(colour: Sequence[float], *, metal: bool) -> dict[str, Any]:
    flat = {"type": "rgb", "value": [float(part) for part in colour]}
    if metal:
        return {"type": "twosided", "inner": {"type": "principled", "base_color": flat,
                                              "metallic": 0.6, "roughness": 0.5}}  # fmt: skip
    return {"type": "twosided", "inner": {"type": "diffuse", "reflectance": flat}}


def _ply(points: NDArray[np.float64], triangles: NDArray[np.int64]) -> bytes:
    """Return a mesh as PLY, binary."""
    head = (
        f"ply\nformat binary_little_endian 1.0\nelement vertex {len(points)}\n"
        "property float x\nproperty float y\nproperty float z\n"
        f"element face {len(triangles)}\nproperty list uchar int vertex_indices\nend_header\n"
    )
    faces = np.empty(len(triangles), dtype=[("count", "u1"), ("at", "<i4", (3,))])
    faces["count"], faces["at"] = 3, triangles
    return head.encode("ascii") + points.astype("<f4").tobytes() + faces.tobytes()


def _brightness(mi: Any, scene: dict[str, Any], sun: NDArray[np.float64]) -> float:
    """Return the light on a white plate that leans back half way towards the sun."""
    flat = np.array((sun[0], sun[1], 0.0)) / max(math.hypot(sun[0], sun[1]), 1e-9)
    lean = np.array((flat[0], flat[1], 1.0))
    normal = lean / np.linalg.norm(lean)
    plate = mi.load_dict({
        "type": "scene",
        "integrator": {"type": "path", "max_depth": 2},
        "sensor": {
            "type": "orthographic",
            "to_world": mi.ScalarTransform4f().look_at(
                origin=normal.tolist(), target=[0, 0, 0], up=[0, 0, 1]
            ) @ mi.ScalarTransform4f().scale(0.4),
            "film": {"type": "hdrfilm", "width": 16, "height": 16, "rfilter": {"type": "box"}},
        },
        **_lights(mi, scene, sun),
        "plate": {
            "type": "rectangle",
            "to_world": mi.ScalarTransform4f().look_at(
                origin=[0, 0, 0], target=normal.tolist(), up=[0, 0, 1]
            ),
            "bsdf": _surface((1.0, 1.0, 1.0), metal=False),
        },
    })  # fmt: skip
    image = np.array(mi.render(plate, seed=0, spp=64), dtype=np.float64)[..., :3]
    return float(image.mean(axis=(0, 1)) @ (0.2126, 0.7152, 0.0722))


if __name__ == "__main__":
    main()
