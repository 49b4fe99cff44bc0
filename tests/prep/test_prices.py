"""prices.csv: a pack and its price for any food of the table, shipped or own; what is wrong is said at its line."""

from __future__ import annotations

import pytest
from tests.prep.prep_make import TODAY, with_plan, worked_out
from tests.prep.test_shopping import packed
from tests.publishing.hub_make import Hub

from gramwright.prep.shopping import Item
from gramwright.publishing.build import publish
from gramwright.publishing.tuning import tune_recipe

HEAD = "# Invented.\nfood,pack_g,price,price_date\n"


def items(hub: Hub) -> dict[str, Item]:
    made, problems = worked_out(hub)
    assert made, problems
    return {item.food.id: item for item in made[0].shopping.items}


def test_a_line_gives_a_food_its_pack_and_price(hub: Hub) -> None:
    with_plan(hub)
    assert items(hub)["test-oats"].pack is None
    hub.write("prices.csv", HEAD + "test oats,500,€1.20,2026-11-01\n")
    oats = items(hub)["test-oats"]
    assert oats.pack is not None
    assert oats.pack.price is not None
    assert (oats.pack.usable_g, oats.pack.price.amount, oats.pack.price.date) == (500, 1.2, "2026-11-01")
    assert oats.packs == 1


def test_it_goes_before_the_food_s_own_line(hub: Hub) -> None:
    with_plan(hub)
    hub.write("foods/own.csv", packed())
    hub.write("prices.csv", HEAD + "test oats,,1.10 EUR,2026-11-20\ntest milk,2000,,\n")
    found = items(hub)
    oats, milk = found["test-oats"].pack, found["test-milk"].pack
    assert oats is not None
    assert milk is not None
    assert oats.price is not None
    assert (oats.usable_g, oats.price.amount) == (500, 1.1), "its own size, the newer price"
    assert (milk.usable_g, milk.price) == (2000, None), "another pack: its own line's price is of another size"


def test_one_currency_however_it_is_written(hub: Hub) -> None:
    with_plan(hub)
    hub.write("prices.csv", HEAD + "test oats,500,€1.20,\ntest milk,1000,0.90 EUR,\n")
    made, _ = worked_out(hub)
    assert made[0].costs is not None
    hub.write("prices.csv", HEAD + "test oats,500,€1.20,\ntest milk,1000,£0.90,\n")
    made, problems = worked_out(hub)
    assert made[0].costs is None
    found = next(p for p in problems if p.code == "two-currencies")
    assert (found.severity, found.place.file) == ("warning", "plans/two-days.md")
    assert "EUR, GBP" in found.message


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ("test oats,0,1.10 EUR,2026-11-20", "bad-pack"),
        ("test oats,500,cheap,2026-11-20", "bad-price"),
        ("test oats,500,1.10 EUR,last week", "bad-date"),
        ("test oats,,1.10 EUR,2026-11-20", "no-pack"),
        ("test oats,,,2026-11-20", "no-price"),
        ("test otas,500,1.10 EUR,2026-11-20", "unknown-food"),
        (",500,1.10 EUR,2026-11-20", "missing-cell"),
        ("test apple,500,1.10 EUR,2026-11-20\ntest apple,900,1.90 EUR,2026-11-20", "duplicate-food"),
    ],
)
def test_what_is_wrong_is_said_at_its_line(hub: Hub, line: str, code: str) -> None:
    with_plan(hub)
    hub.write("prices.csv", HEAD + line + "\n")
    found = [p for p in worked_out(hub)[1] if p.severity == "error"]
    last = 3 + line.count("\n")
    assert [(p.code, p.place.file, p.place.line) for p in found] == [(code, "prices.csv", last)]
    assert found[0].hint


def test_a_changed_price_remakes_the_plan_and_no_recipe(hub: Hub) -> None:
    with_plan(hub)
    hub.write("prices.csv", HEAD + "test oats,500,1.20 EUR,2026-11-01\n")
    assert not publish(hub.root, TODAY).has_errors
    page = hub.site / "plans/two-days/index.html"
    recipe = hub.site / "recipes/stew/index.html"
    before, inode = page.read_bytes(), recipe.read_bytes()
    hub.write("prices.csv", HEAD + "test oats,500,9.90 EUR,2026-11-24\n")
    assert not publish(hub.root, TODAY).has_errors
    assert page.read_bytes() != before
    assert "2026-11-24" in page.read_text(encoding="utf-8")
    assert recipe.read_bytes() == inode


def test_tune_says_what_a_change_costs_by_it(hub: Hub) -> None:
    with_plan(hub)
    hub.write("prices.csv", HEAD + "test oats,500,1.00 EUR,2026-11-01\n")
    result = tune_recipe(hub.root, "stew", {"energy": "..300"}, ["test oats"], TODAY)
    moved = result.tuned.moves[0]
    # A portion is a quarter of the batch; 500 g cost 1.00 EUR.
    assert result.tuned.cost_before[0] == pytest.approx(300 / 500 / 4)
    assert result.tuned.cost_after[0] == pytest.approx(moved.after / 500 / 4)
