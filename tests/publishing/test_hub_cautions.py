"""`cautions:` of hub.yaml: names of shipped cautions, sentences, and nothing in between."""

from __future__ import annotations

import pytest
from tests.publishing.hub_make import HUB, Hub, Run

from gramwright.labelling.cautions import known_ids


@pytest.mark.parametrize(
    ("written", "place", "hint"),
    [
        ("cautions: no", (3, 11), "every caution that applies is shown"),
        ("cautions: Yes", (3, 11), "every caution that applies is shown"),
        ("cautions: zork", (3, 11), "known are: "),
        ("cautions:\n  - Ask the coach.\n  - honey-infant", (5, 5), "did you mean honey-infants?"),
    ],
)
def test_what_is_neither_a_name_nor_a_sentence_is_refused(
    hub: Hub, run: Run, written: str, place: tuple[int, int], hint: str
) -> None:
    hub.write("hub.yaml", HUB + written + "\n")
    code, data = run("proof", hub.root)
    assert code != 0
    (problem,) = data["problems"]
    assert (problem["severity"], problem["code"], problem["file"]) == ("error", "unknown-caution", "hub.yaml")
    assert (problem["line"], problem["column"]) == place
    assert problem["hint"].startswith(hint)


def test_a_name_asks_for_that_caution_on_every_page(hub: Hub, run: Run) -> None:
    assert "honey-infants" in known_ids()
    hub.write("hub.yaml", HUB + "cautions: [honey-infants, Ask the coach.]\n")
    code, data = run("publish", hub.root)
    assert (code, data["problems"]) == (0, [])
    for slug in ("porridge", "fruit-bowl"):
        page = (hub.site / "recipes" / slug / "index.html").read_text(encoding="utf-8")
        assert "Not for children under one year" in page
        assert "Ask the coach." in page
        assert ">honey-infants<" not in page
