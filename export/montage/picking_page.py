"""The page on which points are picked in a photograph, and masks drawn: one file, no network."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from html import escape
from importlib.resources import files
from pathlib import Path
from typing import Any

import numpy as np

from palewright.export.models.things import ground_levels
from palewright.model.basis.text import plain
from palewright.model.fence.fence_model import FenceModel

TYPES = {".jpg": "image/jpeg", ".jpeg": "image/jpeg", ".png": "image/png"}
"""Photographs that a browser shows."""


def write_picking_page(fence: FenceModel, photo: Path) -> bytes:
    """Return the page for a photograph of a fence's site, JPEG or PNG."""
    kind = TYPES.get(photo.suffix.lower(), "image/jpeg")
    script, style = _text("picking.js"), _text("picking.css")
    places = json.dumps(known_places(fence), separators=(",", ":"), ensure_ascii=True)
    parts = {
        "SCRIPT": _hash(script),
        "STYLE": _hash(style),
        "TITLE": escape(plain(fence.job.project.name) or "Picket fence"),
        "FILE": escape(plain(photo.stem), quote=True),
        "CSS": style,
        "PLACES": places.replace("<", "\\u003c"),
        "PHOTO": f"data:{kind};base64,{base64.b64encode(photo.read_bytes()).decode()}",
        "JS": script,
    }
    text = re.sub(r"@([A-Z]+)@", lambda place: parts[place[1]], _text("picking.html"))
    return text.encode("utf-8")


def known_places(fence: FenceModel) -> list[dict[str, Any]]:
    """Return what may be pointed at: feet and tops of posts, corners of things on the site."""
    places: list[dict[str, Any]] = []
    for layout in fence.layouts:
        for post in layout.posts:
            for at, words in (("ground", "at the ground"), ("top", "its top")):
                places.append(
                    {"words": f"post {post.label}, {words}", "post": post.label, "at": at}
                )
    east, north, up = fence.job.origin
    for feature in fence.job.features:
        if feature.kind not in ("house", "wall", "kerb"):
            continue
        levels = ground_levels(fence, np.array(feature.points))
        for number, ((x, y), z) in enumerate(zip(feature.points, levels, strict=True), 1):
            place = [round(x + east, 1), round(y + north, 1), round(float(z) + up, 1)]
            words = f"{plain(feature.called)}, corner {number} at the ground"
            places.append({"words": words, "place": place})
    return places


def _hash(text: str) -> str:
    """Return what a content policy allows by its hash: this text and nothing else inline."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


def _text(name: str) -> str:
    return (files("palewright.export.montage") / name).read_text("utf-8")
