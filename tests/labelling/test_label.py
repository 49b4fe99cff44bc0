"""The label as a whole: figures, salt, per 100 g, notes, and its parts in step with each other."""

from __future__ import annotations

import pytest
from tests.labelling.label_make import SETTINGS, TODAY, books, dish, eu, food, label_of, one_food, row

from gramwright.labelling import rulesets
from gramwright.labelling.energy import row_kcal
from gramwright.labelling.label import label
from gramwright.model import Presence, Scale, Settings, Statement
from gramwright.problems import Place, ProblemLog
from gramwright.reading import vocabulary

OATS = {
    "WATER_g": 9.0, "PROCNT_g": 13.5, "FAT_g": 7.0, "FASAT_g": 1.2, "CHOAVL_g": 58.0, "CHOCDF_g": 68.0, "SUGAR_g": 1.0,
    "FIBTG_g": 10.0, "NA_mg": 6.0, "ENERC_kJ": 1580.0, "FE_mg": 4.5,
}  # fmt: skip
MILK = {
    "WATER_g": 88.0, "PROCNT_g": 3.3, "FAT_g": 3.6, "FASAT_g": 2.3, "CHOAVL_g": 4.7, "CHOCDF_g": 4.7, "SUGAR_g": 4.7,
    "FIBTG_g": 0.0, "NA_mg": 44.0, "ENERC_kJ": 270.0, "CA_mg": 120.0,
}  # fmt: skip


def porridge(**changes: object):  # type: ignore[no-untyped-def]
    rows = [row(food("oats", OATS), 80), row(food("milk", MILK, group="milk-and-yoghurt", kinds=("milk",)), 250)]
    return dish(rows, **{"portions": 2.0, **changes})


def test_figures_are_unrounded_and_complete() -> None:
    found, log = label_of(porridge())
    per = found.per_portion
    assert not log
    assert per["PROCNT_g"].amount == pytest.approx(9.525, rel=1e-12)
    assert per["ENERC_kJ"].amount == pytest.approx(17 * 9.525 + 37 * 7.3 + 17 * 29.075 + 8 * 4)
    assert per["ENERC_kcal"].amount == pytest.approx(4 * 9.525 + 9 * 7.3 + 4 * 29.075 + 2 * 4)
    assert per["ENERC_table_kJ"].amount == pytest.approx((0.8 * 1580 + 2.5 * 270) / 2)
    assert per["ENERC_table_kcal"].amount == pytest.approx((0.8 * 1580 + 2.5 * 270) / 2 / 4.184)
    assert set(found.per_100g) == set(per)
    assert found.rule_set == "eu"
    assert found.energy_by == "factors"


def test_salt_is_sodium_by_two_and_a_half() -> None:
    """Regulation (EU) No 1169/2011, Annex I: salt = sodium x 2.5, summed in milligrams first."""
    found, _ = label_of(porridge())
    assert found.per_portion["SALT_g"].amount == pytest.approx((0.8 * 6 + 2.5 * 44) / 2 * 2.5 / 1000)
    assert label_of(one_food({"NA_mg": 120.0}))[0].per_100g["SALT_g"].amount == pytest.approx(0.3)


def test_per_100_g_is_of_the_finished_weight() -> None:
    found, _ = label_of(porridge(finished_g=300.0, yield_factor=None))
    assert found.per_100g["FAT_g"].amount == pytest.approx((0.8 * 7 + 2.5 * 3.6) * 100 / 300)
    raw, _ = label_of(porridge(yield_factor=None))
    assert raw.per_100g["FAT_g"].amount == pytest.approx((0.8 * 7 + 2.5 * 3.6) * 100 / 330)


def test_per_100_g_carries_the_looseness_of_the_weight() -> None:
    found, _ = label_of(porridge(yield_factor=None))
    for tag, figure in found.per_100g.items():
        portion = found.per_portion[tag]
        if portion.amount:
            assert figure.low / figure.amount <= portion.low / portion.amount + 1e-12
            assert figure.high / figure.amount >= portion.high / portion.amount - 1e-12


def test_coverage_travels() -> None:
    found, _ = label_of(porridge())
    assert found.per_portion["CA_mg"].coverage == pytest.approx(250 / 330)
    assert found.per_100g["CA_mg"].coverage == found.per_portion["CA_mg"].coverage
    assert "K_mg" not in found.per_portion


def test_rows_and_parts_add_up() -> None:
    found, _ = label_of(porridge())
    kcal = found.per_portion["ENERC_kcal"].amount
    assert sum(kcal or 0.0 for kcal in found.row_energy_kcal) == pytest.approx(kcal)
    assert sum(part.kcal for part in found.energy_parts) == pytest.approx(kcal)
    assert [index for index, _ in found.uncertain] == [0, 1]


def test_allergens_diets_and_cautions_are_there() -> None:
    found, _ = label_of(porridge())
    assert "milk" in found.allergens.states
    assert found.suits["vegan"] is False
    assert found.suits["vegetarian"] is True
    assert isinstance(found.cautions, tuple)


def test_notes_repeat_what_is_from_memory() -> None:
    found, _ = label_of(porridge())
    assert found.notes == eu().notes
    gappy, _ = label_of(dish([row(food("gap", {"ENERC_kJ": 500.0}), 100)]))
    assert gappy.energy_by == "table"
    assert "not known for every row" in gappy.notes[0]
    chosen = Settings(title="T", base_url="https://hub.example/", energy="table")
    assert "the hub says so" in label_of(porridge(), settings=chosen)[0].notes[0]


@pytest.mark.parametrize("rule_set", rulesets.available())
def test_every_law_labels_the_same_dish(rule_set: str) -> None:
    found, log = label_of(porridge(), rulesets.load(rule_set))
    assert not log
    assert found.rule_set == rule_set
    assert found.lines[0].key == "energy"
    assert found.lines[0].per_portion


def test_the_same_inputs_give_the_same_label() -> None:
    one, two = label_of(porridge()), label_of(porridge())
    assert repr(one[0]) == repr(two[0])


def test_a_declared_diet_that_the_rows_contradict_is_a_problem() -> None:
    statement = Statement("gluten-free", "no wheat here", Place("recipes/t.md", 6))
    wheat = food("wheat flour", OATS, contains=["wheat"])
    label_found, log = label_of(dish([row(wheat, 100)], declared=(statement,)))
    assert label_found.allergens.states["wheat"] is Presence.CONTAINS
    assert [problem.code for problem in log] == ["declared-contradicted"]


def test_scaling_the_batch_changes_nothing_per_portion() -> None:
    single = label_of(porridge())[0]
    rows = [row(food("oats", OATS), 240), row(food("milk", MILK, group="milk-and-yoghurt", kinds=("milk",)), 750)]
    triple = label_of(dish(rows, portions=6.0))[0]
    for tag, figure in single.per_portion.items():
        assert triple.per_portion[tag].amount == pytest.approx(figure.amount)
        assert triple.per_100g[tag].amount == pytest.approx(single.per_100g[tag].amount)
    assert [line.per_portion for line in triple.lines] == [line.per_portion for line in single.lines]


def test_a_second_rule_set_uses_a_log_of_its_own() -> None:
    found = porridge(claims=("source of fibre",))
    other = ProblemLog()
    us = label(found, rulesets.load("us"), books(), SETTINGS, vocabulary.load(), other, TODAY)
    assert us.rule_set == "us"
    assert not other.has_errors


def test_what_is_not_known_is_no_zero_and_below_nothing() -> None:
    """A tenth of the weight is known to hold 0.01 g of saturates: that is no "<0.1 g", and its share no "<1 %"."""
    whole = {"PROCNT_g": 5.0, "FAT_g": 2.0, "FASAT_g": 0.01, "CHOAVL_g": 10.0, "FIBTG_g": 2.0, "NA_mg": 200.0}
    gap = {tag: amount for tag, amount in whole.items() if tag != "FASAT_g"}
    found, _ = label_of(dish([row(food("a", whole), 100), row(food("b", gap), 900)]))
    saturates = next(line for line in found.lines if line.key == "saturates")
    assert (saturates.per_100g, saturates.per_portion, saturates.share, saturates.at_least) == ("0 g", "0 g", "", True)
    known, _ = label_of(dish([row(food("a", whole), 1000)]))
    assert next(line for line in known.lines if line.key == "saturates").per_100g == "<0.1 g"


def test_a_row_of_which_nothing_is_known_has_no_energy_instead_of_none() -> None:
    whole = {"PROCNT_g": 5.0, "FAT_g": 2.0, "CHOAVL_g": 10.0, "FIBTG_g": 2.0, "ENERC_kJ": 340.0}
    for by in ("factors", "table"):
        rows = [row(food("a", whole), 100), row(food("b", {}), 100), row(food("c", {}), 0.0, scale=Scale.TASTE)]
        first, second, taste = row_kcal(dish(rows), rulesets.load("eu"), by)
        assert first is not None
        assert first > 70
        assert second is None
        assert taste == 0.0
