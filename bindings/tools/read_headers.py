"""Read the public C++ headers: structs with their fields, enumerations, functions, and the comments on all of them.

The headers are the one source of names, units and documentation. This module understands the plain style in which they
are written (one declaration per statement, `///` before or `///<` behind it), not C++ at large.
"""

from __future__ import annotations

import dataclasses
import pathlib
import re


@dataclasses.dataclass
class Field:
    """One data member of a struct."""

    name: str
    type: str
    pair: bool  # an UpperLower of `type`
    default: str
    doc: str = ""
    unit: str = ""


@dataclasses.dataclass
class Struct:
    """A struct or class with its public data members and the names of its public functions."""

    name: str
    header: str
    doc: str
    fields: list[Field] = dataclasses.field(default_factory=list)
    functions: dict[str, str] = dataclasses.field(default_factory=dict)


@dataclasses.dataclass
class Enumeration:
    """A scoped enumeration: enumerators with their comments."""

    name: str
    header: str
    doc: str
    enumerators: dict[str, str] = dataclasses.field(default_factory=dict)


@dataclasses.dataclass
class Headers:
    """Everything that was found, by name."""

    structs: dict[str, Struct] = dataclasses.field(default_factory=dict)
    enumerations: dict[str, Enumeration] = dataclasses.field(default_factory=dict)
    functions: dict[str, str] = dataclasses.field(default_factory=dict)  # free functions and their comments
    values: dict[str, str] = dataclasses.field(default_factory=dict)  # constants and type aliases


def read_headers(folder: pathlib.Path) -> Headers:
    """Read every header in `folder`."""
    found = Headers()
    for path in sorted(folder.glob("*.hpp")):
        _Reader(path.read_text(encoding="utf-8"), path.name, found).read()
    return found


def unit_in(doc: str) -> list[str]:
    """Units in the first brackets of a comment that hold units: "nock height [m]" gives ["m"]."""
    for bracket in re.findall(r"\[([^\[\]]+)\]", doc):
        units = [unit.strip() for unit in bracket.split(",")]
        if all(re.fullmatch(r"[^\W\d_][^\s,]{0,11}", unit) for unit in units):
            return units
    return []


class _Reader:
    def __init__(self, text: str, header: str, found: Headers) -> None:
        self.tokens = list(self._tokens(text))
        self.header = header
        self.found = found
        self.position = 0

    @staticmethod
    def _tokens(text: str) -> list[tuple[str, str]]:
        """Split into ("before" | "after" | "code", text); plain comments and preprocessor lines are dropped."""
        tokens: list[tuple[str, str]] = []
        for line in text.splitlines():
            stripped = line.strip()
            if stripped.startswith("#"):
                continue
            code, mark, comment = line.partition("//")
            if code.strip():
                tokens.extend(("code", part) for part in re.findall(r"[{};]|[^{};]+", code) if part.strip())
            if mark and comment.startswith("/<"):
                tokens.append(("after", comment[2:].strip()))
            elif mark and comment.startswith("/"):
                tokens.append(("before", comment[1:].removeprefix(" ")))
            elif not stripped:
                tokens.append(("blank", ""))
        return tokens

    def read(self) -> None:
        self._scope(None)

    def _take(self) -> tuple[str, str] | None:
        if self.position >= len(self.tokens):
            return None
        self.position += 1
        return self.tokens[self.position - 1]

    def _after(self) -> str:
        """Trailing comments that follow a statement."""
        parts = []
        while self.position < len(self.tokens) and self.tokens[self.position][0] == "after":
            parts.append(self.tokens[self.position][1])
            self.position += 1
        return " ".join(parts)

    def _skip_body(self) -> None:
        depth = 1
        while depth and (token := self._take()):
            depth += {"{": 1, "}": -1}.get(token[1], 0) if token[0] == "code" else 0

    def _scope(self, owner: Struct | None) -> None:
        """Read statements up to the closing brace of a namespace, struct or class."""
        before: list[str] = []
        statement = ""
        public = True
        while token := self._take():
            kind, text = token
            if kind == "before":
                before.append(text)
                continue
            if kind == "blank":
                before = []
            if kind != "code":
                continue
            if text == "}" and not statement:
                return
            if text not in "{};":
                statement += " " + text.strip()
                if owner and (label := re.match(r"\s*(public|private|protected):", statement)):
                    public = label[1] == "public"
                    statement = statement[label.end() :]
                continue
            head = re.sub(r"\[\[.*?\]\]", "", statement).strip()
            doc = "\n".join(before)
            if text == "{" and statement.count("(") > statement.count(")"):  # a braced default of an argument
                statement += "{}"
                self._skip_body()
            elif text == "{":
                if "(" in head.split("=")[0] and "enum" not in head:  # a function with its body
                    self._skip_body()
                    self._function(head, doc, owner if public else None, public)
                    statement, before = "", []
                elif re.match(r"namespace\b", head):
                    if "detail" in head:
                        self._skip_body()
                    else:
                        self._scope(None)
                    statement, before = "", []
                elif enum := re.match(r"enum class (\w+)", head):
                    self._enumeration(enum[1], doc)
                    statement, before = "", []
                elif struct := re.match(r"(?:template\s*<.*?>\s*)?(?:struct|class) (\w+)", head):
                    inner = Struct(struct[1], self.header, doc)
                    self._scope(inner)
                    if owner is None:
                        self.found.structs[inner.name] = inner
                    statement, before = "", []
                    self._take()  # the semicolon
                else:  # a braced initial value
                    statement += "{}"
                    self._skip_body()
            elif text == ";":
                trailing = self._after()
                if public:
                    self._declaration(head, trailing or doc, owner)
                statement, before = "", []

    def _enumeration(self, name: str, doc: str) -> None:
        entry = self.found.enumerations.setdefault(name, Enumeration(name, self.header, doc))
        last = ""
        while (token := self._take()) and token[1] != "}":
            if token[0] == "code":
                for part in token[1].split(","):
                    if word := re.match(r"\s*(\w+)", part):
                        last = word[1]
                        entry.enumerators[last] = ""
            elif token[0] == "after" and last:
                entry.enumerators[last] = f"{entry.enumerators[last]} {token[1]}".strip()
        self._take()

    def _function(self, head: str, doc: str, owner: Struct | None, public: bool) -> None:
        name = re.search(r"([\w~]+|operator\S+)\s*\(", head)
        if name and public and not name[1].startswith(("operator", "~")):
            (owner.functions if owner else self.found.functions).setdefault(name[1], doc)

    def _declaration(self, head: str, doc: str, owner: Struct | None) -> None:
        left = head.split("=")[0]
        if not head or re.match(r"(struct|class|friend|template|extern|std::function)\b", head):
            return
        if using := re.match(r"using (\w+)", head):
            if owner is None:
                self.found.values[using[1]] = doc
        elif "(" in left or "operator" in left:
            self._function(head, doc, owner, True)
        elif owner is None:
            if constant := re.search(r"(\w+)\s*(=|\{|$)", head):
                self.found.values[constant[1]] = doc
        elif match := re.match(r"((?:const )?[\w:]+(?:<[^=]*?>)?)\s+(\w.*)$", head, re.DOTALL):
            declarators = re.split(r",\s*(?=\w+\s*(?:=|\{|,|$))", match[2])
            halves = re.fullmatch(r"UpperLower<(.*)>", match[1])
            units = unit_in(doc)
            for index, declarator in enumerate(declarators):
                # "[m, N, rad]" on three names, or "[m, m/s]" on two pairs of names, tells them apart by position.
                unit = units[index * len(units) // len(declarators)] if units else ""
                name, _, default = (part.strip() for part in declarator.removesuffix("{}").partition("="))
                owner.fields.append(Field(name, halves[1] if halves else match[1], bool(halves), default, doc, unit))
