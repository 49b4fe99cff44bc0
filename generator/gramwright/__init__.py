"""Gramwright: weighed recipes in, a published hub out, every figure traceable."""

__version__ = "0.1.0"
