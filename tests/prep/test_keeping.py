"""How long portions keep, against the authorities' figures, and what happens to a portion eaten too late.

Sources: UK Food Standards Agency, chilling and leftovers (fridge 2 days; thawed food within 24 hours; cooled within
one to two hours); USDA FSIS, cold storage chart (3 to 4 days; 2 to 6 months frozen); WHO, Five Keys to Safer Food
(2 hours).
"""

from __future__ import annotations

import pytest
from tests.prep.prep_make import PLAN, STEW, codes, with_plan, worked_out
from tests.publishing.hub_make import HUB, Hub, Run

from gramwright.labelling import rulesets
from gramwright.prep.keeping import Where, cooling, thawed_h


def late(day: int, extra: str = "") -> str:
    return (
        "---\ntitle: Late\n---\n```plan\npeople: [Ada]\nsession: {day: 1}\ndays:\n"
        f"  day {day}: {{lunch: {{recipe: stew{extra}}}}}\n```\n"
    )


def under(hub: Hub, rule_set: str, keeps: str, plan: str) -> list[tuple[str, int]]:
    with_plan(hub, plan)
    hub.write("hub.yaml", HUB + f"rule_set: {rule_set}\n")
    hub.write("recipes/stew.md", STEW.replace("keeps: {fridge: 3 days, freezer: 2 months}\n", keeps))
    return codes(hub)


BOTH = "keeps: {fridge: 3 days, freezer: 2 months}\n"


@pytest.mark.parametrize(
    ("rule_set", "keeps", "day", "said"),
    [
        ("uk", "", 3, []),  # two days after: within the guidance of 2
        ("uk", "", 4, ["kept-too-long"]),  # three days after
        ("us", "", 5, []),  # four days after: within 3 to 4
        ("us", "", 6, ["kept-too-long"]),
        ("us", BOTH, 5, ["kept-too-long"]),  # the author says 3
        ("uk", BOTH, 4, ["past-guidance"]),  # the author says 3, the guidance 2
        ("uk", BOTH, 5, ["kept-too-long"]),
        ("codex", "", 2, ["keeping-unknown"]),  # nobody says anything
        ("codex", BOTH, 4, []),
    ],
)
def test_the_fridge(hub: Hub, rule_set: str, keeps: str, day: int, said: list[str]) -> None:
    assert under(hub, rule_set, keeps, late(day)) == [(code, 8) for code in said]


@pytest.mark.parametrize(
    ("rule_set", "keeps", "day", "said"),
    [
        ("uk", BOTH, 40, []),
        ("uk", "keeps: {freezer: 10 days}\n", 12, ["kept-too-long"]),
        ("uk", "", 4, ["keeping-unknown"]),
        ("us", "", 40, []),  # 2 to 6 months
    ],
)
def test_the_freezer(hub: Hub, rule_set: str, keeps: str, day: int, said: list[str]) -> None:
    assert under(hub, rule_set, keeps, late(day, ", keep: freezer")) == [(code, 8) for code in said]


def test_the_way_out_is_said_and_is_one(hub: Hub) -> None:
    with_plan(hub, late(6))
    problem = next(p for p in worked_out(hub)[1] if p.code == "kept-too-long")
    assert "keep: freezer" in problem.hint
    assert "move the meal to day 3 or before" in problem.hint
    for way in (late(6, ", keep: freezer"), late(3), late(6, ", fresh: yes")):
        hub.write("plans/two-days.md", way)
        assert not [code for code, _ in codes(hub) if code in ("kept-too-long", "past-guidance")]


def test_longer_than_anything_keeps_leaves_the_site_as_it_was(hub: Hub, run: Run) -> None:
    with_plan(hub)
    assert run("publish", hub.root)[0] == 0
    before = hub.published()
    hub.write("plans/two-days.md", late(30))
    code, data = run("publish", hub.root)
    assert code == 1
    assert {p["code"] for p in data["problems"] if p["severity"] == "error"} == {"kept-too-long"}
    assert hub.published() == before


def test_use_by_thaw_and_labels(hub: Hub) -> None:
    """Frozen on day 1, eaten on day 9: into the fridge the day before (common practice, no source)."""
    with_plan(hub, late(9, ", keep: freezer, portions: 2"))
    (made,), _ = worked_out(hub)
    (kept,) = made.kept
    assert (kept.where, kept.thaw, kept.use_by) == (Where.FREEZER, 8, 61)
    assert kept.grams == pytest.approx(500)


@pytest.mark.parametrize(
    ("rule_set", "day", "where", "use_by", "thaw"),
    [
        ("uk", 2, Where.FRIDGE, 3, None),  # too soon to thaw: the guidance's 2 days
        ("uk", 3, Where.FREEZER, 61, 2),  # the author's 2 months
        ("codex", 2, Where.FREEZER, 61, 1),  # nobody says anything of the fridge
    ],
)
def test_what_keeps_only_frozen_is_frozen(
    hub: Hub, rule_set: str, day: int, where: Where, use_by: int, thaw: int | None
) -> None:
    """A plan that does not say where it waits goes by the recipe, then by the guidance; no date is made up."""
    assert under(hub, rule_set, "keeps: {freezer: 2 months}\n", late(day)) == []
    (made,), _ = worked_out(hub)
    (kept,) = made.kept
    assert (kept.where, kept.use_by, kept.thaw) == (where, use_by, thaw)


def test_a_date_by_the_guidance_alone_is_said_to_be_one(hub: Hub, run: Run) -> None:
    under(hub, "uk", "keeps: {freezer: 2 months}\n", late(2))
    assert run("publish", hub.root)[0] == 0
    said = "Day 3 (by the guidance for left-overs; the recipe does not say)"
    for page in ("plans/two-days/index.html", "plans/two-days/print/index.html"):
        assert said in " ".join((hub.root / "published" / page).read_text().split()), page
    under(hub, "uk", BOTH, late(2))
    assert run("publish", hub.root)[0] == 0
    assert "the recipe does not say" not in (hub.root / "published/plans/two-days/index.html").read_text()


def test_extras_are_kept_too(hub: Hub) -> None:
    plan = PLAN.replace('at: "10:00"', 'at: "10:00", cooks: [{recipe: stew, portions: 8}, soup]')
    with_plan(hub, plan)
    (made,), _ = worked_out(hub)
    extra = [kept for kept in made.kept if not kept.person]
    assert [(kept.where, kept.portions) for kept in extra] == [(Where.FREEZER, 2.5)]


def test_figures_of_the_authorities() -> None:
    uk, us, codex = (rulesets.load(name) for name in ("uk", "us", "codex"))
    assert (cooling(uk).low_h, cooling(uk).high_h) == (1, 2)
    assert (cooling(codex).high_h, cooling(codex).source.startswith("WHO")) == (2, True)
    assert cooling(us).high_h <= 2
    thawed = thawed_h(uk)
    assert thawed is not None
    assert thawed.high == 24


def test_a_breakfast_before_its_session(hub: Hub) -> None:
    with_plan(hub, PLAN.replace("    dinner: {recipe: stew", "    breakfast: {recipe: stew"))
    assert ("meal-before-session", 11) in codes(hub)


def test_eaten_before_cooked(hub: Hub) -> None:
    plan = PLAN.replace('{day: 1, at: "10:00"}', "{day: 3, cooks: [stew]}")
    with_plan(hub, plan)
    assert {code for code, _ in codes(hub)} >= {"eaten-before-cooked"}


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ("recipe: soup", "recipe: soop", "unknown-recipe"),
        ("swaps: [test nuts]", "swaps: [test nutz]", "unknown-swap"),
        ("toppings: [test nuts]", "toppings: [test milk]", "unknown-topping"),
        ("toppings: [test nuts]", "toppings: [test nuts], swaps: [cream]", "unknown-swap"),
    ],
)
def test_what_the_recipes_do_not_have(hub: Hub, old: str, new: str, code: str) -> None:
    with_plan(hub, PLAN.replace(old, new))
    made, problems = worked_out(hub)
    assert made == []
    found = [p for p in problems if p.code == code]
    assert len(found) == 1
    assert found[0].hint
    assert found[0].place.line > 10
