"""One cell of a table changes; every other byte stays."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gramwright.problems import ProblemLog, Trouble
from gramwright.publishing import table_edit
from gramwright.reading.csv_lines import lines_of

TABLE = (
    '# head, with a comma\r\nfood,name,"PROCNT_g",note\r\n\r\na,"Apple, raw",0.3,\r\n# aside\r\n'
    'b,"Two\r\nlines",1,"x ""y"""\r\n'
)


def test_only_the_cell_changes() -> None:
    assert table_edit.set_cell(TABLE, 4, "PROCNT_g", "0.4") == TABLE.replace("0.3", "0.4")


def test_quotes_stay_and_are_made_where_needed() -> None:
    assert table_edit.set_cell(TABLE, 4, "name", "Pear") == TABLE.replace('"Apple, raw"', '"Pear"')
    assert table_edit.set_cell(TABLE, 4, "PROCNT_g", "0,4") == TABLE.replace("0.3", '"0,4"')


def test_a_record_of_several_lines_is_one_record() -> None:
    assert table_edit.set_cell(TABLE, 6, "PROCNT_g", "2") == TABLE.replace('lines",1,', 'lines",2,')


def test_a_new_column_comes_last_and_is_empty_elsewhere() -> None:
    changed = table_edit.set_cell(TABLE, 4, "NA_mg", "7")
    assert 'PROCNT_g",note,NA_mg\r\n' in changed
    assert 'a,"Apple, raw",0.3,,7\r\n' in changed
    assert '"x ""y""",\r\n' in changed
    assert changed.startswith("# head, with a comma\r\n")


@pytest.mark.parametrize("line", [1, 2, 3, 5, 99])
def test_a_line_without_a_record_is_refused(line: int) -> None:
    with pytest.raises(Trouble) as caught:
        table_edit.set_cell(TABLE, line, "PROCNT_g", "1")
    assert caught.value.code == "table-changed"


@pytest.mark.parametrize("mark", ["\u2028", "\u2029", "\x85", "\x0b", "\x0c", "\x1c", "\x1d", "\x1e"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_lines_are_counted_as_the_reader_counts_them(mark: str, end: str) -> None:
    text = f'# he{mark}ad{end}food,n{end}{mark}{end}a,x{mark}y{end}b,"1{mark}{end}2"{end}c,3{end}'
    read = list(lines_of(text.replace("\r\n", "\n").replace("\r", "\n"), "t.csv", ProblemLog()))
    assert [line.number for line in read] == [2, 4, 5, 7]
    for line in read[1:]:
        assert table_edit.cells_of(text, line.number)[0] == line.cells[0]
    assert table_edit.set_cell(text, 7, "n", "4") == text.replace("c,3", "c,4")
    added = table_edit.append_record(text, ["d", f"5{mark}"])
    assert added == f"{text}d,5{mark}{end}"
    assert table_edit.last_line(added) == 8


def test_quotes_that_do_not_fit_are_refused_before_anything_is_written() -> None:
    with pytest.raises(Trouble) as caught:
        table_edit.set_cell('a,b,c\n5" pan,6" pan,x\n', 2, "c", "y")
    assert caught.value.code in {"csv-quote", "too-few-cells"}


cells = st.text(st.characters(codec="utf-8", exclude_characters="\r\x00"), max_size=8)


@given(st.lists(st.tuples(cells, cells, cells), min_size=1, max_size=5), st.data())
def test_any_table_differs_in_that_cell_alone(rows: list[tuple[str, str, str]], data: st.DataObject) -> None:
    """Against the standard library's reader and writer."""
    buffer = io.StringIO()
    writer = csv.writer(buffer, lineterminator="\n", quoting=csv.QUOTE_ALL)
    writer.writerow(("one", "two", "three"))
    writer.writerows(rows)
    text = buffer.getvalue()
    row = data.draw(st.integers(0, len(rows) - 1))
    column = data.draw(st.integers(0, 2))
    value = data.draw(cells)
    line = 2 + sum(1 + "".join(cells).count("\n") for cells in rows[:row])
    changed = table_edit.set_cell(text, line, ("one", "two", "three")[column], value)
    expected = [list(cells) for cells in rows]
    expected[row][column] = value
    assert list(csv.reader(io.StringIO(changed, newline="")))[1:] == expected
