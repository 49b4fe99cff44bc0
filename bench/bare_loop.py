"""The least that any generator of such pages must do: read, YAML (C loader), Markdown, one template, write.

python bench/bare_loop.py HUB OUT WORKERS
"""

from __future__ import annotations

import sys
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import jinja2
import yaml
from markdown_it import MarkdownIt

PAGE = """<!doctype html><html lang="en"><head><meta charset="utf-8"><title>{{ title }}</title></head><body>
<h1>{{ title }}</h1><p>{{ summary }}</p>
{% for part, rows in parts.items() %}<h2>{{ part }}</h2><ul>{% for row in rows %}<li>{{ row }}</li>{% endfor %}</ul>
{% endfor %}{{ body }}</body></html>"""

markdown = MarkdownIt("commonmark", {"html": False})
template = jinja2.Environment(autoescape=True).from_string(PAGE)


def make(job: tuple[list[str], str]) -> None:
    files, out = job
    for file in files:
        path = Path(file)
        text = path.read_text(encoding="utf-8")
        _, head, body = text.split("---\n", 2)
        matter = yaml.load(head, Loader=yaml.CSafeLoader)
        intro, _, rest = body.partition("```ingredients\n")
        block, _, method = rest.partition("```\n")
        parts = yaml.load(block, Loader=yaml.CSafeLoader)
        html = markdown.render(intro) + markdown.render(method)
        page = template.render(title=matter["title"], summary=matter["summary"], parts=parts, body=html)
        folder = Path(out) / path.stem
        folder.mkdir(parents=True)
        (folder / "index.html").write_text(page, encoding="utf-8")


def main(hub: str, out: str, workers: int) -> None:
    files = [str(path) for path in sorted(Path(hub, "recipes").rglob("*.md"))]
    chunks = [(files[start : start + 40], out) for start in range(0, len(files), 40)]
    if workers == 1:
        for chunk in chunks:
            make(chunk)
        return
    with ProcessPoolExecutor(workers) as executor:
        list(executor.map(make, chunks))


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2], int(sys.argv[3]))
