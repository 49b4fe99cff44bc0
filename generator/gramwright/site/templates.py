"""The template engine as this room uses it. Takes template folders, gives a Jinja2 environment made for records.

Views are frozen records, so `row.name` in a template is compiled to the plain
attribute; and what holds no character of HTML is written as it is. Both are
worth about half of a page's rendering time and change nothing that a template
can see, but that a record's missing field is an AttributeError.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

import jinja2
from jinja2 import nodes
from jinja2.compiler import CodeGenerator, Frame
from markupsafe import escape

_special = re.compile("[&<>\"']").search


def quick_escape(value: object) -> str:
    """What markupsafe.escape gives, without a new object for the plain texts that most values are."""
    if type(value) is str and _special(value) is None:
        return value
    return escape(value)


class RecordCodeGenerator(CodeGenerator):
    """Compiles attribute look-ups and output for records of plain texts."""

    def visit_Getattr(self, node: nodes.Getattr, frame: Frame) -> None:
        self.write("(")
        self.visit(node.node, frame)
        self.write(f").{node.attr}")

    def _output_child_pre(self, node: nodes.Expr, frame: Frame, finalize: CodeGenerator._FinalizeInfo) -> None:
        if frame.eval_ctx.volatile or not frame.eval_ctx.autoescape or finalize.src is not None:
            super()._output_child_pre(node, frame, finalize)
        else:
            self.write("environment.quick_escape(")


class RecordEnvironment(jinja2.Environment):
    code_generator_class = RecordCodeGenerator
    quick_escape = staticmethod(quick_escape)


def environment(folders: Sequence[Path]) -> RecordEnvironment:
    """Templates from the first folder that has them; escaped always, nothing undefined, each compiled once."""
    return RecordEnvironment(
        loader=jinja2.FileSystemLoader(list(folders)),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
        cache_size=-1,
    )
