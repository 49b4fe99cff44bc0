"""Declarations by rule sets beside the hub's own: what the page shows is what the engine declares, and nothing else."""

from __future__ import annotations

from dataclasses import replace
from xml.etree.ElementTree import Element

import html5lib
from tests.demo.demo_read import Demo
from tests.labelling.label_make import SETTINGS, dish, food, label_of, one_food, row

from gramwright.labelling import rulesets
from gramwright.labelling.label import label
from gramwright.labelling.rules_model import RuleSet
from gramwright.model import DeclaredLine, Dish, Label, Presence, Scale
from gramwright.problems import ProblemLog
from gramwright.site.pages import method, recipe
from gramwright.site.theme import Theme

OTHERS = ("uk", "us", "anz", "za", "codex")


def page_of(theme: Theme, of: Dish, own: Label, others: list[tuple[RuleSet, Label]]) -> tuple[str, Element]:
    (data,) = recipe.render(theme, of, own, known=lambda _: True, log=ProblemLog(), others=others).values()
    text = data.decode()
    tree: Element = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(text)
    return text, tree


def block(tree: Element, rule_set: str) -> Element:
    found = tree.find(f".//details[@id='by-{rule_set}']")
    assert found is not None, f"no block for {rule_set}"
    return found


def text_of(node: Element) -> str:
    return " ".join("".join(node.itertext()).replace("\u202f", " ").split())


def table_of(tree: Element, rule_set: str) -> list[list[str]]:
    return [[text_of(cell) for cell in line] for line in block(tree, rule_set).findall(".//tbody/tr")]


def wanted(rules: RuleSet, found: Label) -> list[list[str]]:
    """The engine's lines as rows of text: name, the law's columns in its order, share where the law has any."""
    shown = [line for line in found.lines if all(_texts(rules, line))]
    shares = any(line.share for line in shown)
    made = []
    for line in shown:
        name = rules.names[line.key].removeprefix("of which ")
        cells = []
        for text in _texts(rules, line):
            spaced = " ".join(_grouped(word) for word in text.replace(" (", " / (").split(" "))
            cells.append(f"{'≥ at least ' if line.at_least else ''}{spaced}")
        made.append([f"{'of which ' if line.level else ''}{name}", *cells, *([line.share] if shares else [])])
    return made


def _texts(rules: RuleSet, line: DeclaredLine) -> list[str]:
    return [getattr(line, column) for column in rules.columns]


def _grouped(word: str) -> str:
    """'1654' as pages write it: '1 654'."""
    bare = word.lstrip("(")
    return word[: len(word) - len(bare)] + (f"{int(bare):,}".replace(",", " ") if bare.isdigit() else bare)


def test_every_table_is_the_engines(demo: Demo) -> None:
    kitchen = demo.kitchen
    theme, words = Theme(kitchen.settings), kitchen.vocabulary
    for slug, cooked in demo.recipes.items():
        others = [
            (rules, label(cooked.dish, rules, kitchen.books, kitchen.settings, words, ProblemLog(), kitchen.today))
            for rules in map(rulesets.load, OTHERS)
        ]
        _, tree = page_of(theme, cooked.dish, cooked.label, others)
        for rules, found in others:
            assert table_of(tree, rules.id) == wanted(rules, found), f"{slug} {rules.id}"
            said = text_of(block(tree, rules.id))
            for allergen in found.allergens.listed(Presence.MAY_CONTAIN):
                assert found.allergens.words[allergen] in said


def test_rounding_as_published_for_the_united_states() -> None:
    """21 CFR 101.9(c), as tabled in FDA's Food Labeling Guide, Appendix H: calories by 10 above 50; fat by 0.5 g up to
    5 g and none below 0.5 g; cholesterol of 2 to 5 mg is "less than 5 mg"; sodium by 5 mg up to 140; carbohydrate and
    protein to the gram. Per cent daily value of sodium: 2300 mg."""
    values = {
        "PROCNT_g": 14.4, "FAT_g": 4.7, "FASAT_g": 0.4, "CHOAVL_g": 55.0, "CHOCDF_g": 61.6, "FIBTG_g": 6.6,
        "SUGAR_g": 9.2, "NA_mg": 137.0, "CHOLE_mg": 3.0, "CA_mg": 128.0, "K_mg": 300.0, "FE_mg": 2.0,
    }  # fmt: skip
    made = one_food(values)
    us = rulesets.load("us")
    _, tree = page_of(Theme(SETTINGS), made, label_of(made)[0], [(us, label_of(made, us)[0])])
    rows = {cells[0]: cells[1:] for cells in table_of(tree, "us")}
    assert rows["Calories"][0] == "350 kcal"  # 4 x 14.4 + 4 x 61.6 + 9 x 4.7 = 346.3
    assert rows["Total Fat"][0] == "4.5 g"
    assert rows["of which Saturated Fat"][0] == "0 g"
    assert rows["Cholesterol"][0] == "<5 mg"
    assert rows["Sodium"] == ["135 mg", "6 %"]
    assert rows["Total Carbohydrate"][0] == "62 g"
    assert rows["Protein"][0] == "14 g"


def test_what_is_not_known_is_no_row_but_said() -> None:
    """No table gives trans fat, added sugars or vitamin D here: they are absent, never a zero, and named as missing."""
    made = one_food({"PROCNT_g": 5.0, "FAT_g": 2.0, "CHOAVL_g": 10.0, "CHOCDF_g": 12.0, "FIBTG_g": 2.0, "NA_mg": 1.0})
    us = rulesets.load("us")
    text, tree = page_of(Theme(SETTINGS), made, label_of(made)[0], [(us, label_of(made, us)[0])])
    names = [cells[0] for cells in table_of(tree, "us")]
    assert not {"Trans Fat", "Added Sugars", "Vitamin D", "of which Total Sugars"}.intersection(names)
    assert "Not known, and so not shown: Saturated Fat, Trans Fat, Cholesterol" in text


def test_the_hubs_allergens_and_the_other_laws() -> None:
    """Sulphites are on the Union's list and not on that of the United States (section 403(w) of the FD&C Act)."""
    rows = [row(food("dried fruit", {"FAT_g": 1.0}, contains=["sulphites", "milk"]), 100)]
    made = dish(rows)
    us, uk = rulesets.load("us"), rulesets.load("uk")
    _, tree = page_of(Theme(SETTINGS), made, label_of(made)[0], [(each, label_of(made, each)[0]) for each in (us, uk)])
    assert "Contains: milk." in text_of(block(tree, "us")).replace("Milk", "milk")
    assert "sulphur" in text_of(block(tree, "uk")).lower()


def test_salt_to_taste_and_gaps_are_said_by_each_law() -> None:
    whole = {"PROCNT_g": 5.0, "FAT_g": 2.0, "CHOAVL_g": 10.0, "FIBTG_g": 2.0, "NA_mg": 200.0}
    salt = food("salt", {**dict.fromkeys(whole, 0.0), "NA_mg": 38758.0}, group="salt")
    gap = {tag: amount for tag, amount in whole.items() if tag != "FAT_g"}
    made = dish([row(food("a", whole), 80), row(food("b", gap), 20), row(salt, 0.0, scale=Scale.TASTE)])
    anz = rulesets.load("anz")
    text, tree = page_of(Theme(SETTINGS), made, label_of(made)[0], [(anz, label_of(made, anz)[0])])
    rows = {cells[0]: cells[1] for cells in table_of(tree, "anz")}
    assert rows["Sodium"].startswith("≥")
    assert rows["Fat, total"].startswith("≥")
    assert not rows["Protein"].startswith("≥")
    assert "≥ means at least: Sodium as recorded, without salt added to taste." in text
    assert "Fat, total 80\u202f%" in text


def test_a_hub_without_further_rule_sets_has_nothing_of_them() -> None:
    made = one_food({"FAT_g": 2.0})
    text, tree = page_of(Theme(SETTINGS), made, label_of(made)[0], [])
    assert "others" not in text
    assert tree.find(".//section[@id='declaration'][@data-cook='declaration']") is not None
    assert not [each for each in tree.iter("link") if "rules." in each.get("href", "")]


def test_the_script_finds_the_hubs_declaration_and_no_other() -> None:
    made = one_food({"FAT_g": 2.0})
    us = rulesets.load("us")
    text, tree = page_of(Theme(SETTINGS), made, label_of(made)[0], [(us, label_of(made, us)[0])])
    own = tree.find(".//section[@id='declaration']/div[@data-cook='declaration']")
    assert own is not None
    assert own.find(".//details") is None
    assert text.count('data-cook="declaration"') == 1
    assert "for the recipe as written" in text


def test_the_method_page_says_what_of_them_is_from_memory() -> None:
    """Every block leads to the notes of its rule set; the hub's own notes stay where they are."""
    us, za = rulesets.load("us"), rulesets.load("za")
    pages = method.render(Theme(SETTINGS), rulesets.load("eu"), [], (us, za))
    tree = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(pages["method/index.html"].decode())
    for rules in (us, za):
        section = tree.find(f".//section[@id='rules-{rules.id}']")
        assert section is not None
        assert [text_of(item) for item in section.findall(".//li")] == [" ".join(note.split()) for note in rules.notes]
        assert any("from memory" in note.lower() for note in rules.notes)
    made = one_food({"FAT_g": 2.0})
    _, page = page_of(Theme(SETTINGS), made, label_of(made)[0], [(us, label_of(made, us)[0])])
    assert [link.get("href") for link in block(page, "us").iter("a")] == ["../../method/index.html#rules-us"]


def test_a_line_that_must_be_there_says_that_it_is_not_known() -> None:
    """21 CFR 101.9(c)(2)(ii): trans fat has a line. Without a figure it is no zero and no blank."""
    made = one_food({"PROCNT_g": 5.0, "FAT_g": 2.0, "CHOAVL_g": 10.0, "CHOCDF_g": 12.0, "FIBTG_g": 2.0, "NA_mg": 1.0})
    us = rulesets.load("us")
    _, tree = page_of(Theme(replace(SETTINGS, rule_set="us")), made, label_of(made, us)[0], [])
    table = tree.find(".//table[@class='declaration']")
    assert table is not None
    rows = {
        cells[0]: cells[1:3] for cells in ([text_of(cell) for cell in line] for line in table.findall(".//tbody/tr"))
    }
    assert rows["of which Trans Fat"] == ["not known", "not known"]
    assert "not known" not in rows["Total Fat"]
