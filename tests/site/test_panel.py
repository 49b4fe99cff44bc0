"""The panel's geometry: what must hold for every portion."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.site import sample

from gramwright.model import EnergyPart, Figure
from gramwright.site import panel, panel_view
from gramwright.site.panel import REST, Cut, ruling
from gramwright.site.words import load

ENERGIES = st.floats(min_value=0.01, max_value=20000, allow_nan=False)


@settings(deadline=None)
@given(ENERGIES)
def test_a_rule_runs_just_past_what_lies_on_it(top: float) -> None:
    rule = ruling(top)
    assert top < rule.end <= top + rule.major + 1e-9
    assert rule.numbered[0] == 0
    assert rule.numbered[-1] == pytest.approx(rule.end)
    assert len(rule.numbered) <= 11
    # Ticks are dense enough to read a tenth of the rule by, and sparse enough for a phone: 300 px / 2.5 px.
    assert 10 <= len(rule.ticks) <= 121
    assert {length for _, length in rule.ticks} <= {1, 2, 3}
    assert rule.ticks[0] == (0, 3)
    assert rule.ticks[-1][0] == 1


@pytest.mark.parametrize(
    ("top", "end", "minor"),
    [(15, 20, 1), (85, 100, 2), (101, 200, 10), (393, 400, 10), (529, 600, 10), (650, 800, 20), (1900, 2000, 50)],
)
def test_the_common_portions(top: float, end: float, minor: float) -> None:
    """Ticks every 10 kcal up to the next round hundred for a meal; finer for a sip, coarser for a feast."""
    assert (ruling(top).end, ruling(top).minor) == (end, minor)


def test_an_energy_on_a_numbered_tick_does_not_touch_the_end() -> None:
    assert ruling(400).end == 500


@settings(deadline=None)
@given(ENERGIES, st.lists(st.floats(min_value=0, max_value=3000), max_size=8))
def test_pieces_add_up_to_the_portion(energy: float, parts: list[float]) -> None:
    label = sample.label()
    keys = ("protein", "carbohydrate", "fat", "fibre", "alcohol", "polyols", "acids", "other")
    pieces = tuple(EnergyPart(key, 1.0, kcal * 4.2, kcal) for key, kcal in zip(keys, parts, strict=False))
    figures = {**label.per_portion, "ENERC_kcal": Figure(energy, energy * 0.9, energy * 1.1, 1.0)}
    drawn = panel.draw(sample.dish(), replace(label, energy_parts=pieces, per_portion=figures))
    for cuts in (drawn.pieces, drawn.strip):
        check_cuts(cuts, energy, drawn.ruling)
    parts = [kcal for kcal in parts if kcal > panel.SLIVER * energy]
    if parts:
        assert sum(cut.kcal for cut in drawn.pieces) == pytest.approx(energy)
        assert (drawn.pieces[-1].key == REST) == (energy - sum(parts) > panel.CLOSE * energy)


def check_cuts(cuts: tuple[Cut, ...], energy: float, rule: panel.Ruling) -> None:
    at = 0.0
    for cut in cuts:
        assert cut.kcal > 0
        assert cut.start == pytest.approx(at)
        assert cut.end >= cut.start
        at = cut.end
    if cuts:
        assert at == pytest.approx(rule.at(energy))
        assert sum(cut.share for cut in cuts) == pytest.approx(1)


def test_the_sample_is_drawn_as_computed() -> None:
    dish, label = sample.dish(), sample.label()
    drawn = panel.draw(dish, label)
    assert [cut.key for cut in drawn.pieces] == ["carbohydrate", "fat", "protein", "fibre"]
    assert drawn.energy == label.per_portion["ENERC_kcal"].amount
    assert drawn.strip[-1].key == REST
    assert len(drawn.strip) == panel.NAMED_INGREDIENTS + 1
    named = [cut.kcal for cut in drawn.strip[:-1]]
    assert named == sorted(named, reverse=True)
    assert "feta" not in {cut.key for cut in drawn.strip}, "an optional row gives no energy"


def test_what_is_not_known_is_not_drawn() -> None:
    label = sample.label()
    figures = {tag: figure for tag, figure in label.per_portion.items() if tag != "ENERC_kcal"}
    drawn = panel.draw(sample.dish(), replace(label, per_portion=figures))
    assert drawn.energy is None
    view = panel_view.view(sample.dish(), replace(label, per_portion=figures), load("en", None), "")
    assert not view.known
    assert "not known" in view.described


def test_a_portion_without_energy_has_a_rule_and_no_pieces() -> None:
    label = sample.label()
    figures = {**label.per_portion, "ENERC_kcal": Figure(0.0, 0.0, 0.0, 1.0)}
    drawn = panel.draw(sample.dish(), replace(label, per_portion=figures, energy_parts=()))
    assert drawn.pieces == ()
    assert drawn.ruling.end > 0


def test_at_least_is_said_when_some_energy_is_not_known() -> None:
    label = sample.label()
    energy = label.per_portion["ENERC_kcal"]._replace(coverage=0.9)
    view = panel_view.view(
        sample.dish(), replace(label, per_portion={**label.per_portion, "ENERC_kcal": energy}), load("en", None), ""
    )
    assert view.at_least
    for title in (view.what, view.where, view.of_what):
        assert "known energy" in title, "shares of a figure that is known in part are shares of that part"
    assert view.described.count("known energy") == 2
    whole = panel_view.view(sample.dish(), label, load("en", None), "")
    assert "known" not in " ".join((whole.what, whole.where, whole.of_what, whole.described))


def test_cards_of_one_list_share_a_rule() -> None:
    cards = sample.cards()
    rule = panel.shared_ruling(cards)
    for card in cards:
        cuts = panel.small(card, rule)
        if card.energy_kcal is None:
            assert cuts == ()
        else:
            check_cuts(cuts, card.energy_kcal, rule)


def test_the_drawing_says_in_words_what_it_shows() -> None:
    view = panel_view.view(sample.dish(), sample.label(), load("en", None), "../../")
    assert f"reaches {view.energy} kcal" in view.described
    for piece in (*view.pieces, *view.strip):
        assert f"{piece.name} {piece.share}" in view.described
    for piece in view.strip[:-1]:
        assert piece.href.startswith("../../foods/")
