"""Rounding edge by edge against the published rules, and against an independent decimal calculation."""

from __future__ import annotations

import random
from decimal import ROUND_HALF_UP, Decimal
from math import inf

import pytest

from gramwright.labelling import rulesets
from gramwright.labelling.rounding import Band, Rounder, decimals, declare, declare_energy, plain
from gramwright.problems import Trouble

# European Commission, Guidance on tolerances for nutrient values declared on a label,
# December 2012, section 6 (rounding guidelines). Where it allows "0 g" or "<x g", a true
# zero is "0 g" and anything above is "<x g".
EU_EDGES = [
    # any energy: nearest 1
    ("ENERC_kJ", 1654.2, "1654 kJ"),
    ("ENERC_kJ", 1654.49999, "1654 kJ"),
    ("ENERC_kJ", 1654.5, "1655 kJ"),
    ("ENERC_kcal", 393.1, "393 kcal"),
    ("ENERC_kcal", 0, "0 kcal"),
    # fat, carbohydrate, sugars, protein, fibre, polyols, starch
    *[
        (tag, amount, text)
        for tag in ("FAT_g", "CHOAVL_g", "SUGAR_g", "PROCNT_g", "FIBTG_g", "POLYL_g", "STARCH_g")
        for amount, text in [
            (0, "0 g"),
            (0.01, "<0.5 g"),
            (0.49, "<0.5 g"),
            (0.5, "<0.5 g"),
            (0.501, "0.5 g"),
            (0.55, "0.6 g"),
            (3.04, "3.0 g"),
            (3.05, "3.1 g"),
            (9.94, "9.9 g"),
            (9.95, "10 g"),
            (9.99, "10 g"),
            (10, "10 g"),
            (10.49, "10 g"),
            (10.5, "11 g"),
            (99.5, "100 g"),
        ]
    ],
    # saturates, mono- and polyunsaturates
    *[
        (tag, amount, text)
        for tag in ("FASAT_g", "FAMS_g", "FAPU_g")
        for amount, text in [
            (0, "0 g"),
            (0.05, "<0.1 g"),
            (0.1, "<0.1 g"),
            (0.101, "0.1 g"),
            (0.15, "0.2 g"),
            (0.25, "0.3 g"),
            (9.949, "9.9 g"),
            (10.5, "11 g"),
        ]
    ],
    # salt
    ("SALT_g", 0, "0 g"),
    ("SALT_g", 0.0125, "<0.01 g"),
    ("SALT_g", 0.01251, "0.01 g"),
    ("SALT_g", 0.015, "0.02 g"),
    ("SALT_g", 0.994, "0.99 g"),
    ("SALT_g", 0.995, "1.0 g"),
    ("SALT_g", 1.0, "1.0 g"),
    ("SALT_g", 1.05, "1.1 g"),
    ("SALT_g", 12.34, "12.3 g"),
    # vitamins and minerals: three figures for these, two for the others
    ("CA_mg", 123.4, "123 mg"),
    ("CA_mg", 1234.0, "1230 mg"),
    ("K_mg", 345.6, "346 mg"),
    ("VITA_ug", 12.345, "12.3 µg"),
    ("FE_mg", 2.345, "2.3 mg"),
    ("FE_mg", 2.35, "2.4 mg"),
    ("VITC_mg", 12.5, "13 mg"),
    ("VITC_mg", 123.0, "120 mg"),
    ("VITC_mg", 99.6, "100 mg"),
]

# 21 CFR 101.9(c)(1) to (c)(7), as in FDA Food Labeling Guide, Appendix H.
US_EDGES = [
    ("ENERC_kcal", 4.99, "0 kcal"),
    ("ENERC_kcal", 5, "5 kcal"),
    ("ENERC_kcal", 7.49, "5 kcal"),
    ("ENERC_kcal", 7.5, "10 kcal"),
    ("ENERC_kcal", 47.5, "50 kcal"),
    ("ENERC_kcal", 50, "50 kcal"),
    ("ENERC_kcal", 50.1, "50 kcal"),
    ("ENERC_kcal", 54.9, "50 kcal"),
    ("ENERC_kcal", 55, "60 kcal"),
    ("ENERC_kcal", 394, "390 kcal"),
    ("ENERC_kcal", 395, "400 kcal"),
    *[
        (tag, amount, text)
        for tag in ("FAT_g", "FASAT_g", "FATRN_g", "FAPU_g", "FAMS_g")
        for amount, text in [
            (0.49, "0 g"),
            (0.5, "0.5 g"),
            (0.74, "0.5 g"),
            (0.75, "1 g"),
            (1.25, "1.5 g"),
            (4.74, "4.5 g"),
            (4.75, "5 g"),
            (4.99, "5 g"),
            (5, "5 g"),
            (5.49, "5 g"),
            (5.5, "6 g"),
        ]
    ],
    ("CHOLE_mg", 1.99, "0 mg"),
    ("CHOLE_mg", 2, "<5 mg"),
    ("CHOLE_mg", 5, "<5 mg"),
    ("CHOLE_mg", 5.01, "5 mg"),
    ("CHOLE_mg", 7.5, "10 mg"),
    *[
        (tag, amount, text)
        for tag in ("NA_mg", "K_mg")
        for amount, text in [
            (4.99, "0 mg"),
            (5, "5 mg"),
            (7.5, "10 mg"),
            (137.5, "140 mg"),
            (140, "140 mg"),
            (140.1, "140 mg"),
            (144.9, "140 mg"),
            (145, "150 mg"),
        ]
    ],
    *[
        (tag, amount, text)
        for tag in ("CHOCDF_g", "FIBTG_g", "SUGAR_g", "SUGAD_g", "PROCNT_g")
        for amount, text in [
            (0.49, "0 g"),
            (0.5, "<1 g"),
            (0.99, "<1 g"),
            (1, "1 g"),
            (1.49, "1 g"),
            (1.5, "2 g"),
        ]
    ],
]

# Food Standards Code, section 1.2.8-7: not more than three significant figures; "less than"
# 40 kJ, 1 g, 5 mg (from memory in the data, and said so there).
ANZ_EDGES = [
    ("ENERC_kJ", 39.9, "<40 kJ"),
    ("ENERC_kJ", 40, "40 kJ"),
    ("ENERC_kJ", 999.4, "999 kJ"),
    ("ENERC_kJ", 999.5, "1000 kJ"),
    ("ENERC_kJ", 1654, "1650 kJ"),
    ("ENERC_kJ", 1655, "1660 kJ"),
    ("ENERC_kJ", 12345, "12300 kJ"),
    ("ENERC_kcal", 395.7, "396 Cal"),
    ("PROCNT_g", 0.99, "<1 g"),
    ("PROCNT_g", 1, "1.0 g"),
    ("PROCNT_g", 12.34, "12.3 g"),
    ("PROCNT_g", 12.35, "12.4 g"),
    ("PROCNT_g", 99.94, "99.9 g"),
    ("PROCNT_g", 99.95, "100 g"),
    ("PROCNT_g", 123.4, "123 g"),
    ("NA_mg", 4.9, "<5 mg"),
    ("NA_mg", 5, "5 mg"),
    ("NA_mg", 412.5, "413 mg"),
    ("NA_mg", 2345, "2350 mg"),
]


@pytest.mark.parametrize(
    ("rule_set", "tag", "amount", "text"),
    [(law, *edge) for law, edges in (("eu", EU_EDGES), ("us", US_EDGES), ("anz", ANZ_EDGES)) for edge in edges],
)
def test_edges(rule_set: str, tag: str, amount: float, text: str) -> None:
    assert declare(rulesets.load(rule_set), tag, amount) == text


def test_the_united_kingdom_rounds_as_the_union() -> None:
    assert plain(rulesets.load("uk")) == plain(rulesets.load("eu"))


def test_line_keys_round_like_their_tags() -> None:
    rules = rulesets.load("eu")
    assert declare(rules, "saturates", 0.25) == declare(rules, "FASAT_g", 0.25) == "0.3 g"


def test_an_unlisted_component_is_rounded_by_its_unit() -> None:
    assert declare(rulesets.load("eu"), "CHOLN_mg", 123.4) == "120 mg"


def test_an_unknown_key_says_what_is_near() -> None:
    with pytest.raises(Trouble) as caught:
        declare(rulesets.load("eu"), "protien", 1.0)
    assert caught.value.code == "no-rounding"
    assert "protein" in caught.value.hint


def test_energy_is_written_as_each_law_writes_it() -> None:
    """1169/2011, Annex XV (kJ first); 21 CFR 101.9(c)(1); Code, Schedule 12 (kJ and Cal); R146, reg. 50 (kJ only)."""
    shown = {name: declare_energy(rulesets.load(name), 1654.2, 393.1) for name in rulesets.available()}
    assert shown == {
        "anz": "1650 kJ (393 Cal)",
        "codex": "1654 kJ / 393 kcal",
        "eu": "1654 kJ / 393 kcal",
        "uk": "1654 kJ / 393 kcal",
        "us": "390 kcal",
        "za": "1654 kJ",
    }


@pytest.mark.parametrize(
    ("amount", "text"),
    [
        (0.1 + 0.2, "0.3 g"),  # 0.30000000000000004
        (3 * 0.15, "0.5 g"),  # 0.44999999999999996: 0.45 in decimals
        (1.005 * 10 - 9.8, "0.3 g"),  # 0.25 with binary dust
        (0.1 * 3 - 0.2, "<0.1 g"),  # 0.10000000000000003 is 0.1
        (2.675, "2.7 g"),
        (1.15, "1.2 g"),
        (8.45, "8.5 g"),
    ],
)
def test_binary_dust_decides_nothing(amount: float, text: str) -> None:
    assert declare(rulesets.load("eu"), "FASAT_g", amount) == text


def exact(rounder: Rounder, amount: float) -> str:
    """The same rules in decimal arithmetic: twelve significant digits, then half up to the band's step."""
    if amount <= 0:
        return rounder.zero
    value = Decimal(f"{amount:.12g}")
    for band in rounder.bands:
        limit = Decimal("Infinity") if band.limit == inf else Decimal(repr(band.limit))
        if not (value < limit or (band.inclusive and value == limit)):
            continue
        if band.text:
            return f"{band.text} {rounder.unit}"
        step = Decimal(repr(band.step))
        if band.figures:
            step = max(step, Decimal(1).scaleb(value.adjusted() - band.figures + 1))
        rounded = (value / step).quantize(Decimal(1), rounding=ROUND_HALF_UP) * step
        if rounded >= limit and not band.inclusive:
            return exact(rounder, band.limit)
        if band.figures and rounded:
            step = max(Decimal(repr(band.step)), Decimal(1).scaleb(rounded.adjusted() - band.figures + 1))
        places = max(0, -int(step.normalize().as_tuple().exponent))
        if band.trimmed and rounded == rounded.to_integral_value():
            places = 0
        return f"{rounded:.{places}f} {rounder.unit}"
    raise AssertionError("no band")


@pytest.mark.parametrize("rule_set", rulesets.available())
def test_floats_agree_with_decimals(rule_set: str) -> None:
    """Every rounder on amounts near and far, ties and dust included."""
    rules = rulesets.load(rule_set)
    chance = random.Random(20120101)
    distinct = {id(rounder): rounder for rounder in rules.rounders.values()}.values()
    for rounder in distinct:
        edges = [band.limit for band in rounder.bands if band.limit != inf]
        for _ in range(150):
            size = 10.0 ** chance.uniform(-3, 4)
            amount = chance.choice(
                [
                    round(size, chance.randint(0, 5)),
                    size,
                    round(size, 2) + 0.005,
                    round(size, 1) + 0.05,
                    *[edge + chance.choice([-1, 0, 1]) * 10.0 ** chance.randint(-9, -1) for edge in edges],
                ]
            )
            assert rounder.text(amount) == exact(rounder, amount), (rule_set, rounder.bands, repr(amount))


@pytest.mark.parametrize("rule_set", ["anz"])
def test_never_more_than_three_significant_figures(rule_set: str) -> None:
    """Food Standards Code, section 1.2.8-7."""
    rules = rulesets.load(rule_set)
    chance = random.Random(7)
    for tag in ("ENERC_kJ", "ENERC_kcal", "FAT_g", "NA_mg", "CA_mg"):
        for _ in range(300):
            text = declare(rules, tag, 10 ** chance.uniform(0, 4)).split()[0]
            digits = text.replace(".", "") if "." in text else text.rstrip("0")
            assert text.startswith("<") or len(digits.lstrip("0")) <= 3


def test_an_amount_that_is_no_number_is_refused() -> None:
    with pytest.raises(ValueError, match="finite"):
        declare(rulesets.load("eu"), "FAT_g", float("nan"))


def test_bands_must_be_complete() -> None:
    with pytest.raises(Trouble):
        Rounder([Band(10, False, 0.1)], "g")
    with pytest.raises(Trouble):
        Rounder([Band(inf, False, 0.0)], "g")


def test_decimals_of_steps() -> None:
    assert [decimals(step) for step in (10, 5, 1, 0.5, 0.1, 0.01, 0.001)] == [0, 0, 0, 1, 1, 2, 3]


def test_plain_data_for_the_browser_is_complete() -> None:
    bands = plain(rulesets.load("eu"))["SALT_g"]
    assert bands == {
        "unit": "g",
        "zero": "0 g",
        "bands": [
            {"limit": 0.0125, "inclusive": True, "text": "<0.01 g"},
            {"limit": 1, "inclusive": False, "step": 0.01},
            {"limit": None, "inclusive": False, "step": 0.1},
        ],
    }
