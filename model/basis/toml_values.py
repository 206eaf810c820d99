"""A value of a spec as people write it: what is no TOML in it, and what was meant."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass

from .length_words import plain_length
from .source_files import IN_QUOTES
from .typed_letters import BLANKS, CURLY, CURLY_SINGLE, NOTHING, PLAIN, TIMES

YES = {"yes": "true", "on": "true", "true": "true", "no": "false", "off": "false",
       "false": "false"}  # fmt: skip

LONGEST_SHOWN = 2000
"""Letters of a line that are looked at together; no line by hand is longer."""

CLOSES = {"[": "]", "{": "}"}
"""What closes each bracket that may be open."""

OPENS = {"]": "[", "}": "{", ")": "["}
"""What each closing bracket should close; in the place of a square one people write a round one."""

_QUOTED = re.compile(IN_QUOTES)
_REMARK = re.compile(rf"{IN_QUOTES}|(#)")
_ANEW = re.compile(r"\s*(?:[\[{]|\]\s*(?:#|\Z))")
_GOES_ON = re.compile(r"[ \t]*,\s*[^\s#]")
_GOOD = re.compile(
    r"true|false|[+-]?(?:inf|nan)"
    r"|[+-]?(?:0|[1-9](?:_?\d)*)(?:\.\d(?:_?\d)*)?(?:[eE][+-]?\d(?:_?\d)*)?"
    r"|0x[0-9A-Fa-f]+|0o[0-7]+|0b[01]+"
    r"|\d{4}-\d\d-\d\d(?:[Tt ]\d\d:\d\d(?::\d\d(?:\.\d+)?)?(?:[Zz]|[+-]\d\d:\d\d)?)?"
    r"|\d\d:\d\d(?::\d\d(?:\.\d+)?)?"
)


@dataclass(frozen=True)
class Slip:
    """What is wrong in a text, and where.

    line : int, from 1; message : what is wrong, and what to write; value : what stands there.
    """

    line: int
    message: str
    value: str | None = None


@dataclass(frozen=True)
class MeantValue:
    """What a value was meant to be: sound TOML, with as many line ends as there were.

    text : sound TOML, or None where nothing could be made of it.
    """

    text: str | None
    slips: tuple[Slip, ...]


def meant_value(text: str, line: int) -> MeantValue:
    r"""Return what is wrong with the text behind a key's equals sign, and what was meant.

    text : all of it, comments too, over as many lines as it takes; line : of the first, from 1.

    Examples
    --------
    >>> meant_value(' "3.5 m', 4).text, meant_value(' "3.5 m', 4).slips[0].message
    (' "3.5 m"', 'the quote is not closed; write "3.5 m"')
    >>> meant_value(" [0, 0]  # fine", 1).slips
    ()
    """
    reader = _ValueReader(text, line)
    reader.read()
    fixed = "".join(reader.out)
    if not _sound(fixed):
        shown = code_of(text.lstrip().split("\n")[0]).strip()
        if not shown:
            reader.slip("a value is missing behind the =")
        elif not reader.slips:
            reader.slip("this value cannot be read; words and lengths with a unit stand in quotes, "
                        "lists in [ ], tables in { }", shown)  # fmt: skip
        return MeantValue(None, tuple(reader.slips))
    return MeantValue(fixed, tuple(reader.slips))


def code_of(line: str) -> str:
    """Return a line without its remark; a # within quotes begins none.

    >>> code_of('name = "no #1"  # of two')
    'name = "no #1"  '
    """
    for found in _REMARK.finditer(line):
        if found[1]:
            return line[: found.start()]
    return line


def _sound(text: str) -> bool:
    try:
        tomllib.loads(f"k = {text.strip()}\n")
    except (ValueError, RecursionError):
        return False
    return True


class _ValueReader:
    """Goes over a value token by token, writes what was meant and notes what was wrong."""

    def __init__(self, text: str, line: int) -> None:
        self.text = text
        self.line = line
        self.at = 0
        self.out: list[str] = []
        self.slips: list[Slip] = []
        self.open: list[tuple[str, int, int]] = []
        self.had_value = False
        """Whether a value stands before, in the list or table that is open, without a comma."""

    def slip(self, message: str, value: str | None = None, line: int | None = None) -> None:
        self.slips.append(Slip(self.line if line is None else line, message, value))

    def read(self) -> None:
        while self.at < len(self.text):
            letter = self.text[self.at]
            if letter == "\n":
                self._line_ends()
            elif letter in " \t\r":
                self._keep(1)
            elif letter in BLANKS + NOTHING:
                self.slip("a blank that is none to this program stands here; type an ordinary one")
                self.out.append(" " if letter in BLANKS else "")
                self.at += 1
            elif letter == "#":
                end = self.text.find("\n", self.at)
                self._keep((len(self.text) if end < 0 else end) - self.at)
            elif letter in "[{(":
                self._opening(letter)
            elif letter in "]})":
                self._closing(letter)
            elif letter in ",;":
                self._comma(letter)
            elif letter in "\"'" or letter in CURLY + CURLY_SINGLE:
                self._value_starts()
                self._quoted()
            elif letter in "=:" and self._in_table():
                self._equals(letter)
            else:
                self._bare()
        for bracket, line, place in reversed(self.open):
            shown = self._shown(place)
            self.slip(f"'{bracket}' is not closed by '{CLOSES[bracket]}'", shown, line)
        if self.open:
            # before a remark at the end
            tail = "".join(CLOSES[bracket] for bracket, _, _ in reversed(self.open))
            whole = "".join(self.out)
            last = whole.rstrip().rfind("\n") + 1
            body = (whole[:last] + code_of(whole[last:])).rstrip()
            self.out = [body, tail, whole[len(body) :]]

    def _line_ends(self) -> None:
        """Close a list within a list that begins on this line, where the next one begins anew."""
        inner = len(self.open) > 1 and self.open[-1][:2] == ("[", self.line)
        if inner and _ANEW.match(self.text, self.at):
            self.slip("'[' is not closed by ']'", self._shown(self.open.pop()[2]))
            comma = self._last() == ","
            if comma:
                self.out.pop()
            self.out += ["]", ","] if comma else ["]"]
            self.had_value = not comma
        self.line += 1
        self._keep(1)

    def _keep(self, count: int) -> None:
        self.out.append(self.text[self.at : self.at + count])
        self.at += count

    def _shown(self, start: int) -> str:
        return code_of(self.text[start : start + LONGEST_SHOWN].split("\n")[0]).strip()[:60]

    def _last(self) -> str:
        """Take blanks off the end of what was written, and return the last of it."""
        while self.out and not self.out[-1].strip():
            self.out.pop()
        return self.out[-1].rstrip() if self.out else ""

    def _in_table(self) -> bool:
        return bool(self.open) and self.open[-1][0] == "{"

    def _awaits(self) -> bool:
        """Tell whether a value is to come, behind an equals sign."""
        written = next((piece for piece in reversed(self.out) if piece.strip()), "")
        return written.rstrip().endswith("=")

    def _value_starts(self) -> None:
        """Note a comma that is missing before a value."""
        if self.had_value:
            if self.open:
                self.slip("a comma is missing before this", self._shown(self.at))
                self.out.append(", ")
            else:
                self.slip("stands behind the value; a key has one", self._shown(self.at))
        self.had_value = True

    def _opening(self, letter: str) -> None:
        self._value_starts()
        if letter == "(":
            self.slip("a list stands in square brackets [ ]", self._shown(self.at))
            letter = "["
        self.open.append((letter, self.line, self.at))
        self.out.append(letter)
        self.at += 1
        self.had_value = False

    def _closing(self, letter: str) -> None:
        opened = OPENS[letter]
        close = CLOSES[opened]
        if letter == ")" and self.open and self.text[self.open[-1][2]] != "(":
            self.slip("a list is closed by ]", self._shown(self.open[-1][2]))
        if not self.open:
            self.slip(f"'{letter}' closes nothing here", self.text.strip().split("\n")[0][:60])
            self.at += 1
            return
        if len(self.open) == 1 and _GOES_ON.match(self.text, self.at + 1):
            start = self.text.rfind("\n", 0, self.at) + 1
            self.slip(f"'{opened}' is missing before this", self._shown(start))
            self.at += 1
            return
        if self.open[-1][0] != opened:
            if any(bracket == opened for bracket, _, _ in self.open):
                while self.open[-1][0] != opened:
                    bracket, line, place = self.open.pop()
                    missing = CLOSES[bracket]
                    self.slip(f"'{bracket}' is not closed by '{missing}'", self._shown(place), line)
                    self.out.append(missing)
            else:
                right = CLOSES[self.open[-1][0]]
                self.slip(f"'{letter}' where '{right}' should close", self._shown(self.open[-1][2]))
                close = right
        self.open.pop()
        self.out.append(close)
        self.at += 1
        self.had_value = True

    def _comma(self, letter: str) -> None:
        if letter == ";" or not self.open:
            inside = self.open and self.text[self.at + 1 :].strip()
            self.slip("items of a list are parted by commas" if inside
                      else "nothing stands behind a value but a remark, which begins with #",
                      self._shown(self.at))  # fmt: skip
            self.out.append("," if inside else "")
        elif not self.had_value:
            self.slip("a value is missing before this comma", self._shown(self.at))
        else:
            self.out.append(",")
        self.at += 1
        self.had_value = False

    def _equals(self, letter: str) -> None:
        if letter == ":":
            self.slip("between key and value stands =, not a colon", self._shown(self.at))
        self.out.append("=")
        self.at += 1
        self.had_value = False

    def _quoted(self) -> None:
        """Read what begins with a quote of any kind."""
        quote = self.text[self.at]
        if quote in "\"'" and self.text.startswith(quote * 3, self.at):
            end = self.text.find(quote * 3, self.at + 3)
            if end < 0:
                self.slip("the three quotes are not closed by three", self._shown(self.at))
                self.out.append('""')
                self.at = len(self.text)
                return
            self.line += self.text.count("\n", self.at, end)
            self._keep(end + 3 - self.at)
            return
        found = _QUOTED.match(self.text, self.at)
        if found and self._ends_well(found.end()):
            self._backslashes(found[0])
            self.at = found.end()
            return
        self._slipped_quote(quote)

    def _ends_well(self, at: int) -> bool:
        """Tell whether what follows a closed quote is what may follow one."""
        rest = self.text[at : at + LONGEST_SHOWN].lstrip(" \t\r" + BLANKS)
        if self._in_table() and re.match(r"[\w-]+[ \t]*=", rest):
            return True  # the next key, its comma missing
        # of two quotes with words between, as ["9 m, "5 m"], the first is not closed
        return not re.match("[A-Za-z0-9]", rest) if self.open else rest[:1] in ("", *"#\n,]});=")

    def _backslashes(self, text: str) -> None:
        """Write a text in quotes whose backslashes may be letters, as in a path."""
        if text[0] == '"' and not _sound(text):
            body = text[1:-1].replace("\\", "/")
            self.slip(f'a backslash has a meaning of its own in quotes; write "{body}"', text)
            text = f'"{body}"' if _sound(f'"{body}"') else '""'
        self.out.append(text)

    def _slipped_quote(self, quote: str) -> None:
        """Read a text whose quotes are curly, not closed, or hold one of their own kind."""
        line = self.text[self.at : self.at + LONGEST_SHOWN].split("\n")[0]
        body, length = _quoted_body(line, bool(self.open))
        shown = line[:length].strip()
        meant = plain_length(body) if body[:1].isdigit() else None
        number = body.strip("\"'" + CURLY)
        write = number if _GOOD.fullmatch(number) else f'"{meant or body}"'
        if not _sound(write):
            write = '""'
        alone = "" if write == '""' else f"; write {write}"
        if quote in CURLY + CURLY_SINGLE or any(letter in CURLY for letter in shown):
            self.slip("curly quotes are not quotes to this program" + alone, shown)
        elif re.search(r"\d\s*[\"']\s*[\"']$|\d'\s*\d", shown) or shown.count(quote) > 2:
            feet = "feet and inches in quotes are written with ft and in"
            own = "a quote cannot stand within quotes of its kind"
            self.slip((feet if meant else own) + alone, shown)
        elif shown.count(quote) == 2:
            self.slip("nothing stands behind a text in quotes" + alone, shown)
        else:
            self.slip("the quote is not closed" + alone, shown)
        self.out.append(write)
        self.at += length

    def _bare(self) -> None:
        """Read what has no quotes: a number, true, false, or what should have had quotes."""
        found = re.compile(r"[^,;\]})\[{(#\n]+").match(self.text, self.at)
        word = found[0] if found else self.text[self.at]
        if self._in_table():
            pair = re.match(r"\s*[\w.-]+\s*(?=[=:])", word)
            bare = re.match(r"\s*([a-z_]+)[ \t]*(?=[\"'\d]|$)", word)
            behind = self.text[self.at + len(word) :][:1]
            if not pair and bare and not self._awaits() and (
                behind in ("[", "{") or bare.end() < len(word)
            ):  # fmt: skip
                self.slip(f"= is missing behind {bare[1]}", self._shown(self.at))
                self.out.append(f"{bare[0]} = ")
                self.at += len(bare[0])
                self.had_value = False
                return
            if pair:  # a key of an inline table
                if self.had_value:
                    self._value_starts()
                self.out.append(pair[0])
                self.at += len(pair[0])
                self.had_value = False
                return
        if not self.open and self.text.startswith(",", self.at + len(word)):
            more = re.compile(r"[^#\n]*").match(self.text, self.at)
            word = more[0] if more else word
        elif self.open and not self._in_table():
            several = re.match(r"([+-]?[\d.]+)[ \t]+(?=[+-]?[\d.]+[ \t]*$)", word)
            if several:  # [0 0]
                word = several[1]
        self._value_starts()
        self.at += len(word)
        told = word.strip(" \t\r" + BLANKS)
        trail = word[len(word.rstrip(" \t\r")) :]
        if _GOOD.fullmatch(told):
            self.out.append(told + trail)
            return
        meant, message = _bare_word(told)
        self.slip(message, told)
        self.out.append(meant + trail)


def _quoted_body(line: str, inside: bool) -> tuple[str, int]:
    """Return what a text that begins with a quote was meant to hold, and how long it is.

    line : from the quote to the end of the line; inside : whether a list or table is open.
    """
    marks = "\"'" + CURLY + CURLY_SINGLE
    close = re.compile(rf"[{marks}][\s{BLANKS}]*(?=$|[#\]}},;)])")
    start = line[1:]
    if inside:
        # up to the quote before a comma or a bracket, or else up to that itself
        cut = re.search(r"[,\]};#]", start)
        ends = list(close.finditer(start))
        first = ends[0] if ends else None
        if first and (cut is None or first.start() <= cut.start()):
            return start[: first.start()].strip(), first.end() + 1
        end = cut.start() if cut else len(start)
        return start[:end].strip().strip(marks), end + 1
    remark = re.search(r"\s#", start)
    end = remark.start() if remark else len(start)
    body = start[:end].rstrip(" \t\r;," + BLANKS)
    inner = body
    if body[-1:] in tuple(marks):
        inner = body[:-1]
        if not body[:1].isdigit():
            inner = inner.strip(marks)
    return inner.strip(), end + 1


def _bare_word(told: str) -> tuple[str, str]:
    """Return what a word or number without quotes was meant to be, and what to say."""
    low = told.lower()
    if low in YES:
        return YES[low], f"write {YES[low]}"
    number = told.translate(PLAIN).replace(" ", "")
    thousand = re.fullmatch(r"([+-]?\d{1,3}),(\d{3})", number)
    if thousand:
        whole = thousand[1] + thousand[2]
        point = f"{float(f'{thousand[1]}.{thousand[2]}'):g}"
        said = f'a comma, of thousands or of decimals? write {whole}, or "{point} m"'
        return whole, said
    if re.fullmatch(r"[+-]?\d+,\d+", number):
        point = number.replace(",", ".")
        return point, f'a decimal comma; write {point}, or with its unit "{point} m"'
    spelt = re.fullmatch(r"([+-]?)(\d*)(?:\.(\d*))?", number.replace("_", ""))
    if spelt and (spelt[2] or spelt[3]):
        whole = spelt[2].lstrip("0") or "0"
        point = f"{spelt[1]}{whole}" + (f".{spelt[3] or 0}" if spelt[3] is not None else "")
        return point, f"a number is written {point}"
    sizes = re.fullmatch(rf"([\d.]+)\s*[x{TIMES}*]\s*([\d.]+)", low)
    if sizes:
        pair = f"[{sizes[1]}, {sizes[2]}]"
        return pair, f"two sizes are a list; write {pair}"
    meant = plain_length(told)
    if meant is not None:
        return f'"{meant}"', f'a length with its unit stands in quotes; write "{meant}"'
    body = told.strip("\"'" + CURLY + CURLY_SINGLE).replace("\\", "/")
    if _sound(f'"{body}"'):
        return f'"{body}"', f'words stand in quotes; write "{body}"'
    return '""', "words stand in quotes"
