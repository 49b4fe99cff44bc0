"""The Markdown parser: CommonMark with tables, made to ask only those rules that can begin where it stands.

markdown-it-py offers every line and every character to all of its rules in turn. Each rule of CommonMark begins with
a character of its own, so one rule that looks at this character stands for all of them here. What is parsed is the
same; it takes half of the time.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache

from markdown_it import MarkdownIt
from markdown_it.rules_block import StateBlock
from markdown_it.rules_core import StateCore
from markdown_it.rules_inline import StateInline
from markdown_it.token import Token

BlockRule = Callable[[StateBlock, int, int, bool], bool]
InlineRule = Callable[[StateInline, bool], bool]

_BLOCKS: Mapping[str, str] = {
    "fence": "`~",
    "blockquote": ">",
    "hr": "*-_",
    "list": "*-+0123456789",
    "reference": "[",
    "heading": "#",
}
"""Block rule -> the characters that a line of it can begin with; rules that are missing can begin with any."""
_INLINES: Mapping[str, str] = {
    "newline": "\n",
    "escape": "\\",
    "backticks": "`",
    "emphasis": "*_",
    "link": "[",
    "image": "!",
    "autolink": "<",
    "entity": "&",
}
_CHAINS = ("", "paragraph", "reference", "blockquote", "list")

_UNDERLINE = re.compile(r"[-=][ \t]*$", re.MULTILINE)
_MARKED = re.compile(r"[\\`*_\[<&]| \n|\n[ \t]")
"""What makes a text more than lines of plain words."""


@lru_cache(maxsize=1)
def parser() -> MarkdownIt:
    """The process's parser; no raw HTML, every link allowed (whoever walks the tokens judges links)."""
    made = MarkdownIt("commonmark", {"html": False}).enable("table").disable(["html_block", "html_inline"])
    made.validateLink = lambda url: True  # type: ignore[method-assign]
    _first_character_decides(made)
    return made


def _first_character_decides(made: MarkdownIt) -> None:
    block, inline = made.block.ruler, made.inline.ruler
    names = dict(zip(block.getRules(""), block.get_active_rules(), strict=True))
    chains = {chain: [_block_rule(block.getRules(chain), names)] for chain in _CHAINS}
    block.getRules = lambda chainName="": chains[chainName]  # type: ignore[method-assign]
    begun = [_inline_rule(inline.getRules(""), inline.get_active_rules())]
    inline.getRules = lambda chainName="": begun  # type: ignore[method-assign]
    made.core.ruler.at("inline", _inline_texts)


def _block_rule(rules: Sequence[BlockRule], names: Mapping[BlockRule, str]) -> BlockRule:
    """One rule that stands for all of a chain."""
    characters = sorted(set("".join(_BLOCKS.values())))
    by_character = {
        character: [rule for rule in rules if character in _BLOCKS.get(names[rule], character)]
        for character in characters
    }
    others = [rule for rule in rules if names[rule] not in _BLOCKS]
    wanted: dict[BlockRule, Callable[[StateBlock, int], bool]] = {
        rule: _WANTED[names[rule]] for rule in others if names[rule] in _WANTED
    }

    def begin(state: StateBlock, start: int, end: int, silent: bool) -> bool:
        at = state.bMarks[start] + state.tShift[start]
        for rule in by_character.get(state.src[at : at + 1], others):
            if (rule not in wanted or wanted[rule](state, start)) and rule(state, start, end, silent):
                return True
        return False

    return begin


def _has_bar(state: StateBlock, line: int) -> bool:
    return state.src.find("|", state.bMarks[line], state.eMarks[line]) >= 0


def _is_indented(state: StateBlock, line: int) -> bool:
    return state.sCount[line] - state.blkIndent >= 4


def _has_underline(state: StateBlock, _line: int) -> bool:
    """Whether any line of the text ends as an underline does; looked for once a text."""
    known: bool | None = state.env.get("underlined")
    if known is None:
        known = state.env["underlined"] = _UNDERLINE.search(state.src) is not None
    return known


_WANTED: Mapping[str, Callable[[StateBlock, int], bool]] = {
    "table": _has_bar,
    "code": _is_indented,
    "lheading": _has_underline,
}
"""Rules that any character can begin, and a quick look at whether they can apply at all."""


def _inline_rule(rules: Sequence[InlineRule], names: Sequence[str]) -> InlineRule:
    """One rule that stands for all inline rules."""
    by_character: dict[str, list[InlineRule]] = {}
    text = rules[list(names).index("text")]
    for rule, name in zip(rules, names, strict=True):
        for character in _INLINES.get(name, ""):
            by_character.setdefault(character, []).append(rule)

    def begin(state: StateInline, silent: bool) -> bool:
        found = by_character.get(state.src[state.pos])
        if found is None:
            return text(state, silent)
        return any(rule(state, silent) for rule in found)

    return begin


def _inline_texts(state: StateCore) -> None:
    """Every inline text into tokens; lines without any markup need no parser."""
    for token in state.tokens:
        if token.type == "inline":
            if _MARKED.search(token.content) is None:
                token.children = _plain(token.content)
            else:
                token.children = []
                state.md.inline.parse(token.content, state.md, state.env, token.children)


def _plain(text: str) -> list[Token]:
    children: list[Token] = []
    for number, line in enumerate(text.split("\n")):
        if number:
            children.append(Token("softbreak", "br", 0))
        if line:
            children.append(Token("text", "", 0, content=line))
    return children
