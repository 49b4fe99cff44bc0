"""The template engine as this room uses it. Takes template folders, gives a Jinja2 environment made for records.

Views are frozen records, so `row.name` in a template is compiled to the plain
attribute; what holds no character of HTML is written as it is; a template and
each of its blocks give their text in one piece; and what is included by name
stands in its place. Together this is worth more than half of a page's rendering
time and changes nothing that a template can see, but that a record's missing
field is an AttributeError.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

import jinja2
from jinja2 import nodes
from jinja2.compiler import CodeGenerator, Frame


class RecordCodeGenerator(CodeGenerator):
    """Compiles attribute look-ups and output for records of plain texts; a template gives its text in one piece.

    A piece handed on through three levels of templates costs more than most pieces take to make: so each template
    and each block collects its own in a list.
    """

    def visit_Getattr(self, node: nodes.Getattr, frame: Frame) -> None:
        self.write("(")
        self.visit(node.node, frame)
        self.write(f").{node.attr}")

    def blockvisit(self, inside: Iterable[nodes.Node], frame: Frame) -> None:
        if frame.buffer is not None or not (frame.rootlevel or frame.block_frame):
            super().blockvisit(inside, frame)
            return
        self.buffer(frame)
        super().blockvisit(inside, frame)
        self.writeline(f"yield concat({frame.buffer})")
        frame.buffer = None

    def _output_child_pre(self, node: nodes.Expr, frame: Frame, finalize: CodeGenerator._FinalizeInfo) -> None:
        if frame.eval_ctx.volatile or not frame.eval_ctx.autoescape or finalize.src is not None:
            super()._output_child_pre(node, frame, finalize)
        else:
            self.write("(v if type(v := ")

    def _output_child_post(self, node: nodes.Expr, frame: Frame, finalize: CodeGenerator._FinalizeInfo) -> None:
        if frame.eval_ctx.volatile or not frame.eval_ctx.autoescape or finalize.src is not None:
            super()._output_child_post(node, frame, finalize)
        else:
            self.write(") is str and special(v) is None else escape(v))")

    def write_commons(self) -> None:
        super().write_commons()
        self.writeline("special = environment.special")


class RecordEnvironment(jinja2.Environment):
    code_generator_class = RecordCodeGenerator
    special = staticmethod(re.compile("[&<>\"']").search)
    """Finds a character that HTML gives a meaning; a text without any is written as it is."""

    def __init__(self, **options: Any) -> None:
        super().__init__(**options)
        self._open: list[str] = []
        """Names of the templates whose text is being put into another."""

    def _parse(self, source: str, name: str | None, filename: str | None) -> nodes.Template:
        """As always, but that a template which is included by name stands in its place, in a scope of its own."""
        template = super()._parse(source, name, filename)
        for owner in (template, *template.find_all(_BODIES)):
            for field in ("body", "else_"):
                inside = getattr(owner, field, None)
                if isinstance(inside, list):
                    inside[:] = [self._included(node) if isinstance(node, nodes.Include) else node for node in inside]
        return template

    def _included(self, node: nodes.Include) -> nodes.Node:
        wanted = node.template
        if not (isinstance(wanted, nodes.Const) and isinstance(wanted.value, str) and node.with_context):
            return node
        if node.ignore_missing or self.loader is None or wanted.value in self._open:
            return node
        source, filename, _ = self.loader.get_source(self, wanted.value)
        self._open.append(wanted.value)
        try:
            found = self._parse(source, wanted.value, filename)
        finally:
            self._open.pop()
        if any(found.find(kind) is not None for kind in _OF_THE_WHOLE):
            return node
        return nodes.Scope(found.body, lineno=node.lineno)


_OF_THE_WHOLE: tuple[type[nodes.Node], ...] = (nodes.Extends, nodes.Block, nodes.Macro, nodes.Import, nodes.FromImport)
"""What an included template cannot have to stand in another."""
_BODIES = (nodes.Block, nodes.For, nodes.If, nodes.With, nodes.Scope, nodes.FilterBlock, nodes.AssignBlock)


def environment(folders: Sequence[Path], compiled: jinja2.BytecodeCache | None = None) -> RecordEnvironment:
    """Templates from the first folder that has them; escaped always, nothing undefined, each compiled once.

    `compiled`: where they are kept between processes.
    """
    return RecordEnvironment(
        loader=jinja2.FileSystemLoader(list(folders)),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
        cache_size=-1,
        bytecode_cache=compiled,
    )
