"""Takes the name of a layout or the path of a mapping file, gives its mapping; reads a table with it."""

from __future__ import annotations

from pathlib import Path

from gramwright.composition.imports.fdc import read_fdc
from gramwright.composition.imports.mapping import FDC, ImportMapping
from gramwright.composition.imports.mapping_reader import read_mapping
from gramwright.composition.imports.records import Imported, Progress
from gramwright.composition.imports.table import read_table
from gramwright.problems import ProblemLog, Trouble, near
from gramwright.reading import files
from gramwright.reading.fold import slug
from gramwright.resources import content


def available() -> tuple[str, ...]:
    """The shipped layouts, sorted."""
    return tuple(sorted(path.stem for path in (content() / "imports").glob("*.yaml")))


def load_layout(name: str, log: ProblemLog) -> ImportMapping | None:
    """A shipped layout by its name, else a mapping file by its path; None when its text has errors (logged).

    Raises Trouble 'unknown-layout'; OSError.
    """
    if name in available():
        path, file = content() / "imports" / f"{name}.yaml", f"content/imports/{name}.yaml"
    else:
        path, file = Path(name), name
        if path.suffix not in (".yaml", ".yml") or not path.is_file():
            close = near(name, available(), 1)
            raise Trouble(
                "unknown-layout",
                f"expected a layout ({', '.join(available())}) or a mapping file, found '{name}'",
                f"did you mean {close[0]}?"
                if close
                else "write a mapping: its grammar heads content/imports/ifct2017.yaml",
            )
    text = files.read(path, file, log)
    return None if text is None else read_mapping(text, file, slug(path.stem), log)


def read(mapping: ImportMapping, path: Path, log: ProblemLog, progress: Progress | None = None) -> Imported:
    """The rows of a table. Raises Trouble 'no-file', 'missing-column', 'not-csv', 'wrong-encoding'; OSError."""
    if not path.exists():
        raise Trouble("no-file", f"expected a table at {path}, found nothing", "name the file or folder you downloaded")
    reader = read_fdc if mapping.layout == FDC else read_table
    return reader(path, mapping, log, progress)
