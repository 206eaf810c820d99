"""The README's commands from installing to a page, copied out of it and run in an empty root.

Run, as root: python benchmarks/first_hour.py ROOT. ROOT is a folder with a Debian that has nothing
but Python, as debootstrap makes it (--variant=minbase --include=python3,ca-certificates), whose apt
and pip reach their registries. Prints what each command took, and the megabytes that it brought.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
import time
from pathlib import Path

from tables import head, row

HERE = Path(__file__).resolve().parent.parent
SECTIONS = ("Install it for fences of your own", "Your first fence")
ANSWERS = "Plum Lane\n9 m\n5 m left\n\n950 mm\nround\nend\n3.5 m\n900 mm\n\nslope\n200 mm\n"
MADE = ("garden.toml", "garden.html", "out/garden.pdf", "out/garden.step", "out/garden.xlsx")
"""Files that there must be at the end."""


def commands(readme: str, section: str) -> list[str]:
    """Return the command lines of a section, as they stand there."""
    text = readme.split(f"\n## {section}\n")[1].split("\n## ")[0]
    block = re.search(r"```console\n(.*?)```", text, re.DOTALL)
    assert block is not None, section
    return re.findall(r"^\$ (.+)$", block[1], re.MULTILINE)


def megabytes(root: Path) -> float:
    """Return what stands in a root, without what the machine lends it."""
    done = subprocess.run(
        ["du", "-smx", "--exclude=proc", "--exclude=sys", str(root)],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    return float(done.stdout.split()[0])


def main() -> None:
    root = Path(sys.argv[1])
    readme = (HERE / "README.md").read_text("utf-8")
    source, own = root / "root" / "palewright", root / "root" / "fences"
    source.mkdir(parents=True)
    own.mkdir()
    packed = subprocess.run(
        ["git", "archive", "HEAD"], cwd=HERE, capture_output=True, check=True
    ).stdout
    subprocess.run(["tar", "-x", "-C", str(source)], input=packed, check=True)
    (root / "usr" / "bin" / "sudo").write_text('#!/bin/sh\nexec "$@"\n')
    (root / "usr" / "bin" / "sudo").chmod(0o755)
    head("command of the README", "s", "MB more")
    start = time.perf_counter()
    size = first = megabytes(root)
    for section in SECTIONS:
        folder = source if section == SECTIONS[0] else own
        for command in commands(readme, section):
            inside = f"export PATH=/root/.local/bin:$PATH; cd {folder.relative_to(root)}; {command}"
            began = time.perf_counter()
            done = subprocess.run(
                ["chroot", str(root), "sh", "-c", f"cd /; {inside}"],
                input=ANSWERS if "--ask" in command else "", text=True, capture_output=True,
                env={**os.environ, "HOME": "/root", "DEBIAN_FRONTEND": "noninteractive"},
                check=False,
            )  # fmt: skip
            taken = time.perf_counter() - began
            if done.returncode:
                sys.exit(f"{command} ended with {done.returncode}:\n{done.stdout}\n{done.stderr}")
            now = megabytes(root)
            row(f"`{command}`", f"{taken:.1f}", f"{now - size:.0f}")
            size = now
    row("all", f"{time.perf_counter() - start:.1f}", f"{size - first:.0f}")
    missing = [name for name in MADE if not (own / name).is_file()]
    sys.exit(f"not made: {', '.join(missing)}" if missing else 0)


if __name__ == "__main__":
    main()
