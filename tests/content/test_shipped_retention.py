"""The shipped retention factors against USDA's table, release 6."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.content.plain_tables import CONTENT, rows

FILE = CONTENT / "retention" / "usda-r6.csv"

COLUMN = {
    "CA_mg": "calcium", "FE_mg": "iron", "MG_mg": "magnesium", "P_mg": "phosphorus", "K_mg": "potassium",
    "NA_mg": "sodium", "ZN_mg": "zinc", "CU_mg": "copper", "VITC_mg": "vitc", "THIA_mg": "vitb1",
    "RIBF_mg": "vitb2", "NIA_mg": "vitb3", "VITB6A_mg": "vitb6", "VITB6_mg": "vitb6", "FOLFD_ug": "folate_food",
    "FOLAC_ug": "vitb9", "FOL_ug": "folate_total", "FOLDFE_ug": "folate_total", "CHOLN_mg": "choline",
    "VITB12_ug": "vitb12", "VITA_ug": "vita_re", "VITA_RAE_ug": "vita_re", "ALC_g": "alcohol",
    "CARTB_ug": "carotene_beta", "CARTA_ug": "carotene_alpha", "CRYPX_ug": "cryptoxanthin", "LYCPN_ug": "lycopene",
    "LUTN_ug": "lutein",
}  # fmt: skip
"""Our column -> the handbook's, without its 'usda_rf_'."""


def test_all_codes_stand_once_with_words_of_their_own() -> None:
    lines = rows(FILE)
    assert list(lines[0]) == ["code", "description", *COLUMN]
    assert len({line["code"] for line in lines}) == len(lines) == 270
    assert len({line["description"] for line in lines}) == 270
    assert all(line["description"] == line["description"].lower() for line in lines)


def test_factors_are_whole_per_cents_or_not_known() -> None:
    for line in rows(FILE):
        for tag in COLUMN:
            assert line[tag] == "" or (line[tag].isdigit() and 0 <= int(line[tag]) <= 100), (line["code"], tag)


@pytest.mark.parametrize(
    ("code", "factors"),
    [
        ("3004", {"VITC_mg": 60, "THIA_mg": 85, "RIBF_mg": 95}),
        ("3775", {"VITC_mg": 75, "FOL_ug": 65, "VITA_ug": 90, "CA_mg": 95, "FE_mg": 95, "NA_mg": 95, "K_mg": 90}),
        ("501", {"VITC_mg": 65, "FOL_ug": 60, "CA_mg": 85, "MG_mg": 80, "K_mg": 75, "NA_mg": 90, "ZN_mg": 85}),
        ("2152", {"VITC_mg": 65, "FOL_ug": 80, "VITB12_ug": 55}),
        ("5002", {"ALC_g": 85}),
        ("5004", {"ALC_g": 40}),
        ("5008", {"ALC_g": 10}),
    ],
)
def test_factors_seen_in_other_copies(code: str, factors: dict[str, int]) -> None:
    """USDA Table of Nutrient Retention Factors, release 6, rows as transcribed elsewhere (secondary copies)."""
    line = next(line for line in rows(FILE) if line["code"] == code)
    assert {tag: int(line[tag]) for tag in factors} == factors


@pytest.mark.reference
def test_every_factor_is_the_publishers(reference: Path) -> None:
    """USDA Table of Nutrient Retention Factors, release 6 (2007); no whole number there: empty here."""
    published = {line["retention_code"]: line for line in rows(reference / "usda_retention_r6.csv")}
    ours = {line["code"]: line for line in rows(FILE)}
    assert set(ours) == set(published)
    for code, line in ours.items():
        for tag, column in COLUMN.items():
            cell = published[code][f"usda_rf_{column}"].strip()
            assert line[tag] == (cell if cell.isdigit() and int(cell) <= 100 else ""), (code, tag)
