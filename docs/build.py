"""Builds these pages: pictures made by the program, the reference from the schema, the findings
from their register, then the site.

Run: python docs/build.py [FOLDER]. Needs what the tests need.
"""

from __future__ import annotations

import re
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

from palewright.model.basis.finding_register import REGISTER
from palewright.model.basis.findings import FindingKind
from palewright.model.checks.rule_findings import rule_kind, unit_of
from palewright.model.rules.rule_sets import BUILT_IN, RuleSet, built_in
from palewright.model.spec.firm_keys import FirmKeys
from palewright.model.spec.schema import spec_schema

DOCS = Path(__file__).resolve().parent
TITLED = re.compile(r'^```(\w+) title="([^"]+)"\n(.*?)^```$', re.MULTILINE | re.DOTALL)
SPEC_KEY = re.compile(r"[a-z_]+\.[a-z_]+")


VIEWS = {
    "sliding.toml": "back", "wicket.toml": "back", "lane.toml": "back", "mill-yard.toml": "back",
    "courtyard.toml": "corner", "seafront.toml": "corner",
}  # fmt: skip
"""From where specs of the pages of ways and habits are pictured, where not from the front."""


def files_of(page: str) -> dict[str, str]:
    """Return the files that a page's code blocks with a title stand for."""
    return {name: text for _, name, text in TITLED.findall((DOCS / page).read_text("utf-8"))}


def reference() -> str:
    """Return the page on every key of a spec, from its JSON Schema."""
    schema = spec_schema()
    kinds = schema["$defs"]
    lines = ["# Every key of a spec", "", "Made from the schema that `palewright schema` prints. "
             "A length is a number of millimetres, or text such as `\"1.8 m\"`, `\"450 mm\"`, "
             "`\"4 in\"`, `\"5 ft 6 in\"`.", ""]  # fmt: skip
    seen: set[str] = set()

    def table(name: str, node: dict[str, Any]) -> None:
        lines.extend([f"## {name}", ""])
        if node.get("description"):
            lines.extend([" ".join(node["description"].split()), ""])
        lines.extend(["| key | what | default |", "|---|---|---|"])
        inner: list[tuple[str, dict[str, Any]]] = []
        for key, value in node.get("properties", {}).items():
            words = " ".join(value.get("description", "").split())
            for ref in _refs(value):
                if ref not in seen:
                    seen.add(ref)
                    inner.append((f"{name}.{key}" if name != "A spec" else key, kinds[ref]))
            what = "; ".join(part for part in (_allowed(value, kinds), words) if part)
            default = f"`{_short(value['default'])}`" if _plain(value.get("default")) else ""
            lines.append(f"| `{key}` | {what.replace('|', '/')} | {default} |")
        lines.append("")
        for path, kind in inner:
            if "properties" in kind:
                table(path, kind)

    table("A spec", schema)
    table("The firm's file", FirmKeys.model_json_schema())
    return "\n".join(lines).rstrip() + "\n"


def _refs(value: Any) -> list[str]:
    """Return the names of the tables in a value, in their order."""
    if isinstance(value, dict):
        own = [value["$ref"].rsplit("/", 1)[1]] if "$ref" in value else []
        return own + [name for inner in value.values() for name in _refs(inner)]
    if isinstance(value, list):
        return [name for inner in value for name in _refs(inner)]
    return []


def _allowed(value: dict[str, Any], kinds: dict[str, Any]) -> str:
    """Return in words what a key may be."""
    if "enum" in value:
        return ", ".join(f"`{word}`" for word in value["enum"])
    if "const" in value:
        return f"`{value['const']}`"
    if "$ref" in value:
        return "a table"
    if "oneOf" in value:
        return "one of the tables below"
    if "anyOf" in value:
        parts = dict.fromkeys(_allowed(option, kinds) for option in value["anyOf"])
        parts.pop("nothing", None)
        return "a length" if list(parts) == ["a number", "text"] else " or ".join(parts)
    kind = value.get("type")
    if kind == "array":
        return "a list"
    words = {"number": "a number", "integer": "a whole number", "string": "text", "null": "nothing",
             "boolean": "`true` or `false`", "object": "a table"}  # fmt: skip
    return words.get(str(kind), "")


def _plain(value: Any) -> bool:
    return value not in (None, "", [], {}) and not isinstance(value, dict)


def _short(value: Any) -> str:
    text = str(value).lower() if isinstance(value, bool) else str(value)
    return text if len(text) < 60 else text[:56] + "...]"


def findings() -> str:
    """Return the page on every finding, from the register and the built-in rule sets."""
    lines = ["# What check finds", "",
             "Made from the register that the program takes its findings from. Each line of "
             "`palewright check` ends with a code; here is what the code means, why it matters and "
             "what helps. A **stop** keeps `build` from writing anything, a **warning** is for you "
             "to decide, and a **note** is for you to know. The keys are those of the "
             "[reference](reference.md).", ""]  # fmt: skip
    for subject, kinds in REGISTER.items():
        lines.extend([f"## {subject}", ""])
        for kind in kinds:
            lines.extend(_finding(kind))
    lines.extend(["## Rule sets", "",
                  "Which sets are held against a fence is said by `rules.sets`. Sets of your own "
                  "bring codes of their own.", ""])  # fmt: skip
    for name in BUILT_IN:
        lines.extend(_rule_set(built_in(name)))
    return "\n".join(lines).rstrip() + "\n"


def _finding(kind: FindingKind) -> list[str]:
    """Return the lines about one kind of finding."""
    return [f"### {kind.code}", "",
            f"{_severity(kind).capitalize()}: {kind.means}.", "",
            f"- Why it matters: {kind.matters}",
            f"- What helps: {kind.helps}",
            f"- Source: {_source(kind)}.", ""]  # fmt: skip


def _rule_set(rules: RuleSet) -> list[str]:
    """Return the lines about a rule set, a row for each of its rules."""
    lines = [f"### {rules.name}", "",
             f"{rules.title.capitalize()}; {rules.jurisdiction}, {rules.date}. Not checked: "
             f"{rules.not_checked}.", "",
             "| code | severity | allowed | what is wrong, and what helps | source |",
             "|---|---|---|---|---|"]  # fmt: skip
    for rule in rules.rule:
        kind = rule_kind(rule, rules)
        most = "at most " if rule.most is not None else ""
        allowed = f"{rule.measure} {most}{rule.allowed}{unit_of(rule)}"
        cells = (f"`{kind.code}`", _severity(kind), allowed, kind.means, kind.source)
        lines.append(f"| {' | '.join(cells)} |")
    return [*lines, ""]


def _severity(kind: FindingKind) -> str:
    return {"warn": "warning"}.get(kind.severity.value, kind.severity.value)


def _source(kind: FindingKind) -> str:
    """Return the source of a limit in words; one that the spec gives is named by its key."""
    return f"the spec's `{kind.source}`" if SPEC_KEY.fullmatch(kind.source) else kind.source


def pictures() -> None:
    """Make the tutorial's pictures from its own files."""
    import pypdfium2

    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for file, text in files_of("tutorial.md").items():
            (folder / file).write_text(text, "utf-8")
        run = [sys.executable, "-m", "palewright.cli"]
        size = ["--width", "1200", "--height", "600"]
        out = DOCS / "pictures" / "tutorial.png"
        subprocess.run(
            [*run, "picture", "plum.toml", "-o", str(out), *size], cwd=folder, check=True
        )
        for file, text in files_of("howto.md").items():
            (folder / file).write_text(text, "utf-8")
        out = DOCS / "pictures" / "gates.png"
        subprocess.run(
            [*run, "picture", "quince.toml", "-o", str(out), "--view", "back", *size],
            cwd=folder,
            check=True,
        )
        sheets = ["sheets", "plum.toml", "-o", ".", "--for", "workshop", "--formats", "pdf"]
        subprocess.run([*run, *sheets], cwd=folder, check=True, stdout=subprocess.DEVNULL)
        page = pypdfium2.PdfDocument(str(folder / "plum-workshop.pdf"))[0]
        image = page.render(scale=1.2).to_pil().convert("L").quantize(16)
        image.save(DOCS / "pictures" / "tutorial-workshop.png", optimize=True)
        _proposal_picture(folder)
        _ways_pictures(folder)


def _ways_pictures(folder: Path) -> None:
    """Make a picture of each spec on the pages of ways of building and of habits."""
    from PIL import Image

    for file, text in (files_of("ways.md") | files_of("habits.md")).items():
        (folder / file).write_text(text, "utf-8")
        out = DOCS / "pictures" / f"{Path(file).stem}.png"
        command = [sys.executable, "-m", "palewright.cli", "picture", file, "-o", str(out)]
        view = ["--view", VIEWS.get(file, "front")]
        size = ["--width", "1200", "--height", "500"]
        subprocess.run([*command, *size, *view], cwd=folder, check=True)
        with Image.open(out) as image:
            few = image.convert("RGB").quantize(128)
        few.save(out, optimize=True)


def _proposal_picture(folder: Path) -> None:
    """Make the picture of the cottage's proposal, its pages beside each other."""
    import pypdfium2
    from PIL import Image

    examples = DOCS.parent / "examples"
    command = [sys.executable, "-m", "palewright.cli", "proposal", str(examples / "cottage.toml")]
    prices = ["--prices", str(examples / "cottage-prices.csv"), "-o", str(folder)]
    subprocess.run([*command, *prices], check=True, stdout=subprocess.DEVNULL)
    pages = [
        page.render(scale=0.72).to_pil()
        for page in pypdfium2.PdfDocument(str(folder / "cottage-proposal.pdf"))
    ]
    wide, high = pages[0].size
    whole = Image.new("RGB", ((wide + 8) * len(pages) - 8, high), "#b9bcb8")
    for number, page in enumerate(pages):
        whole.paste(page, (number * (wide + 8), 0))
    whole.quantize(64).save(DOCS / "pictures" / "proposal.png", optimize=True)


def main() -> None:
    out = sys.argv[1] if len(sys.argv) > 1 else str(DOCS.parent / "site")
    pictures()
    (DOCS / "reference.md").write_text(reference(), "utf-8")
    (DOCS / "findings.md").write_text(findings(), "utf-8")
    subprocess.run([sys.executable, str(DOCS / "rooms.py")], check=True)
    build = [sys.executable, "-m", "mkdocs", "build", "--strict", "--quiet", "--site-dir", out]
    subprocess.run(build, cwd=DOCS.parent, check=True)


if __name__ == "__main__":
    main()
