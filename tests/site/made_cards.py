"""Invented recipe cards in any number, the same for the same seed: for tests of finding and for its benchmark.

Every name, figure and status here is made up. Frequencies imitate a real hub:
a few foods are in most recipes, most foods are in a few, and one title in six
has a word that hardly any other title has.
"""

from __future__ import annotations

import random
from collections.abc import Iterable
from itertools import accumulate

from gramwright.labelling.allergen_swaps import NO_SWAPS, Swaps, Told
from gramwright.site.cards import Card, Piece, Use
from gramwright.site.search import AllergenChoice

CEREALS = ("wheat", "spelt", "khorasan", "rye", "barley", "oats")
NUTS = ("almond", "hazelnut", "walnut", "cashew", "pecan", "brazil nut", "pistachio")
ALLERGENS = (
    AllergenChoice("gluten", "cereals containing gluten", CEREALS, "gluten cereals"),
    *(AllergenChoice(name, name) for name in CEREALS),
    *(AllergenChoice(name, name) for name in ("crustaceans", "eggs", "fish", "peanuts", "soybeans", "milk")),
    AllergenChoice("nuts", "nuts", NUTS, "nuts"),
    *(AllergenChoice(name, name) for name in NUTS),
    *(AllergenChoice(name, name) for name in ("celery", "mustard", "sesame", "sulphites", "lupin", "molluscs")),
)
SINGLE = tuple(choice.id for choice in ALLERGENS if not choice.members)

STAPLES = (
    "salt|olive oil|onion|garlic|water|black pepper|butter:milk|egg:eggs|plain flour:wheat|sugar|milk:milk|"
    "lemon juice|carrot|rapeseed oil|parsley|tomato|ground cumin|smoked paprika|soy sauce:soybeans,wheat|"
    "rolled oats:oats|Greek yoghurt:milk|cheddar:milk|chicken breast|basmati rice|red lentils|chickpeas|"
    "vegetable stock:celery|honey"
).split("|")
FOODS = (
    "spelt flour:spelt|rye bread:rye|pearl barley:barley|couscous:wheat|bulgur:wheat|egg noodles:wheat,eggs|"
    "quinoa|millet|buckwheat|polenta|brown rice|wild rice|black rice|spaghetti:wheat|penne:wheat|"
    "wholemeal flour:wheat|seitan:wheat|black beans|kidney beans|butter beans|cannellini beans|borlotti beans|"
    "mung beans|split peas|green lentils|puy lentils|tofu:soybeans|tempeh:soybeans|edamame:soybeans|"
    "miso:soybeans|soya drink:soybeans|peanut butter:peanuts|peanuts:peanuts|almonds:almond|"
    "ground almonds:almond|hazelnuts:hazelnut|walnuts:walnut|cashews:cashew|pecans:pecan|pistachios:pistachio|"
    "Brazil nuts:brazil nut|sesame seeds:sesame|tahini:sesame|sunflower seeds|pumpkin seeds|flaxseed|"
    "chia seeds|poppy seeds|skyr:milk|quark:milk|cottage cheese:milk|ricotta:milk|feta:milk|mozzarella:milk|"
    "parmesan:milk|halloumi:milk|kefir:milk|crème fraîche:milk|double cream:milk|buttermilk:milk|"
    "whey protein:milk|egg white:eggs|egg yolk:eggs|mayonnaise:eggs,mustard|salmon:fish|trout:fish|"
    "mackerel:fish|cod:fish|haddock:fish|tuna:fish|sardines:fish|anchovies:fish|prawns:crustaceans|"
    "crab:crustaceans|mussels:molluscs|squid:molluscs|turkey breast|chicken thigh|beef mince|beef brisket|"
    "pork loin|bacon|ham|lamb shoulder|venison|duck leg|chorizo|white wine:sulphites|red wine:sulphites|"
    "wine vinegar:sulphites|cider vinegar|dried apricots:sulphites|raisins|dates|prunes|figs|apple|pear|"
    "banana|orange|lemon|lime|grapefruit|mango|pineapple|kiwi|strawberries|raspberries|blueberries|"
    "blackberries|cherries|plums|peach|melon|grapes|rhubarb|pomegranate|avocado|courgette|aubergine|"
    "red pepper|green pepper|chilli|cucumber|celery:celery|celeriac:celery|fennel|leek|shallots|spring onions|"
    "beetroot|parsnip|swede|turnip|radishes|potato|sweet potato|squash|pumpkin|kale|spinach|chard|rocket|"
    "lettuce|white cabbage|red cabbage|Savoy cabbage|Brussels sprouts|broccoli|cauliflower|romanesco|"
    "asparagus|green beans|peas|sugar snap peas|sweetcorn|okra|mushrooms|chestnut mushrooms|dried porcini|"
    "samphire|seaweed|ginger|turmeric|coriander|mint|basil|thyme|rosemary|sage|dill|chives|tarragon|oregano|"
    "bay leaf|lemongrass|star anise|cardamom|cinnamon|nutmeg|cloves|fennel seeds|caraway|"
    "mustard seeds:mustard|Dijon mustard:mustard|horseradish|capers|olives|gherkins|kimchi|sauerkraut|"
    "coconut milk|coconut|cocoa|dark chocolate:soybeans|vanilla|maple syrup|treacle|brown sugar|erythritol|"
    "gelatine|baking powder|bicarbonate of soda|yeast|cornflour|potato starch|lupin flour:lupin|rice vinegar|"
    "fish sauce:fish|oyster sauce:molluscs,wheat|curry paste:mustard|harissa|tomato purée|chopped tomatoes|"
    "passata|chicken stock:celery|beef stock:celery|coffee|green tea"
).split("|")
FORMS = ("", "", "", "dried", "frozen", "canned", "roasted", "cooked", "smoked", "ground", "pickled", "fresh")
DISHES = (
    "soup salad stew curry tray bake pie tart bowl porridge pancakes muffins loaf cake bars biscuits risotto "
    "pilaf noodles fritters burgers wrap sandwich omelette frittata gratin chilli dal broth casserole hash "
    "skewers dumplings parcels flatbread crumble compote smoothie granola dip slaw ragout tagine paella "
    "stir-fry sauté terrine patties gnocchi quiche"
).split()
HOWS = (
    "baked roasted grilled braised poached steamed smoky spiced spicy crisp creamy quick slow warm cold "
    "chilled crunchy fresh golden green red hot sweet sour sharp light hearty rustic simple everyday Sunday "
    "overnight one-pot winter summer spring autumn harvest boathouse towpath tideway river harbour galley "
    "crew rower's cox's club early late double-baked charred"
).split()
MEALS = ("breakfast", "packed lunch", "lunch", "dinner", "snack", "soup", "bake", "drink")
TAGS = (
    "one tray|freezes well|no oven|batch|under ten ingredients|budget|race day|recovery|low effort|picnic|"
    "portable|for two|for a crowd|high fibre|spring|summer|autumn|winter|leftovers|no chopping|slow cooker|"
    "pressure cooker|barbecue|raw|make ahead|festive|for children|soft|liquid|hydrating|before training|"
    "after training|store cupboard|five a day|weeknight|sunday|brunch|street food|comfort|light supper|"
    "side dish|sauce|spread|topping|dessert|bread"
).split("|")
DIETS = ("vegetarian", "vegan", "no_pork", "no_alcohol")
_MEAT = ("chicken", "beef", "pork", "bacon", "ham", "lamb", "venison", "duck", "chorizo", "turkey", "gelatine")
_SYLLABLES = "bar bel cor dun el fen gar hal is kel lor mar nor or pel quen ros sil tor ul ver wen yar zel".split()


def _zipf(count: int, flat: float) -> list[float]:
    return list(accumulate(1 / (place + flat) for place in range(count)))


class _Maker:
    def __init__(self, seed: int) -> None:
        self.random = random.Random(seed)
        rest = [(form, food) for food in FOODS for form in dict.fromkeys(FORMS)]
        self.random.shuffle(rest)
        first = [food for form, food in rest if form == ""]
        other = [f"{form} {food}" for form, food in rest if form]
        self.foods = [*STAPLES, *first, *other[:420]]
        self.food_weights = _zipf(len(self.foods), 9.0)
        self.tag_weights = _zipf(len(TAGS), 4.0)
        self.chance = random.Random(f"swaps {seed}")
        """Apart from the other, so that nothing else of a card depends on its swaps."""
        self.surnames = ["".join(self.random.choices(_SYLLABLES, k=3)).capitalize() for _ in range(1500)]

    def pick(self, weights: list[float], count: int) -> list[int]:
        drawn = self.random.choices(range(len(weights)), cum_weights=weights, k=count)
        return list(dict.fromkeys(drawn))

    def card(self, slug: str | None, seen: set[str]) -> Card:
        rng = self.random
        foods = [self.foods[n] for n in self.pick(self.food_weights, rng.randint(4, 18))]
        names = [food.partition(":")[0] for food in foods]
        title = self.title(names)
        made = slug or self.slug(title, seen)
        told = min(1900.0, max(18.0, rng.gammavariate(5.0, 80.0)))
        shares = [rng.betavariate(2, 5), rng.betavariate(4, 4), rng.betavariate(2, 3)]
        share = [part / sum(shares) for part in shares]
        protein, carbohydrate, fat = share[0] * told / 4, share[1] * told / 4, share[2] * told / 9
        fibre = rng.gammavariate(2.0, 3.0)
        kcal = told + 2 * fibre + (rng.uniform(0.0, 0.2) * told if rng.random() < 0.1 else 0.0)
        salt = rng.gammavariate(2.0, 0.6)
        hands_on = float(rng.choice((5, 5, 10, 10, 10, 15, 15, 15, 20, 20, 25, 30, 30, 40, 45, 60, 75, 12, 8)))
        total = hands_on + float(rng.choice((0, 0, 5, 10, 15, 20, 30, 40, 60, 90, 120, 480)))
        contains, may, unknown = self.allergens(foods)
        groups = (
            ("gluten cereals", self.group(("gluten", *CEREALS), contains, may, unknown)),
            ("nuts", self.group(("nuts", *NUTS), contains, may, unknown)),
        )
        incomplete = tuple(f for f in ("energy_kcal", "fibre_g", "salt_g") if rng.random() < 0.04)
        timed = rng.random() > 0.05
        return Card(
            slug=made,
            title=title,
            summary=self.summary(names) if rng.random() > 0.1 else "",
            meals=tuple(sorted({MEALS[n] for n in self.pick(_zipf(len(MEALS), 2.0), rng.choice((1, 1, 1, 2, 2)))})),
            tags=tuple(TAGS[n] for n in self.pick(self.tag_weights, rng.randint(0, 4))),
            portions=4.0,
            portion_g=kcal,
            energy_kcal=kcal if rng.random() > 0.004 else None,
            energy_low_kcal=kcal * 0.95,
            energy_high_kcal=kcal * 1.05,
            energy_kj=kcal * 4.184,
            protein_g=protein if rng.random() > 0.004 else None,
            carbohydrate_g=carbohydrate,
            sugars_g=carbohydrate / 4,
            fat_g=fat,
            saturates_g=fat / 3,
            fibre_g=fibre if rng.random() > 0.02 else None,
            salt_g=salt if rng.random() > 0.02 else None,
            hands_on_min=hands_on if timed else None,
            total_min=total if timed else None,
            contains=contains,
            may_contain=may,
            unknown=unknown,
            suits=self.suits(names, contains),
            claims=(),
            incomplete=incomplete,
            ingredients=tuple(names),
            pieces=(
                Piece("protein", protein * 4),
                Piece("carbohydrate", carbohydrate * 4),
                Piece("fat", fat * 9),
                Piece("fibre", fibre * 2),
            ),
            groups=groups,
            swaps=self.swaps({*contains, *may, *unknown, *generic_ids(groups)}, contains),
            uses=tuple(Use(name.replace(" ", "-"), 50.0, kcal / len(names)) for name in names),
        )

    def title(self, names: list[str]) -> str:
        rng = self.random
        main, *others = names[:3] if rng.random() < 0.3 else rng.sample(names, min(3, len(names)))
        dish = rng.choice(DISHES)
        text = f"{main} and {others[0]} {dish}" if rng.random() < 0.45 else f"{main} {dish}"
        if rng.random() < 0.5:
            text = f"{rng.choice(HOWS)} {text}"
        if rng.random() < 0.35 and len(others) > 1:
            text = f"{text} with {others[1]}"
        if rng.random() < 0.16:
            text = f"{rng.choice(self.surnames)}'s {text}"
        return text[0].upper() + text[1:]

    def slug(self, title: str, seen: set[str]) -> str:
        plain = title.lower().replace("'", "").replace("è", "e").replace("î", "i").replace("é", "e")
        parts = plain.replace("-", " ").split()
        if self.random.random() < 0.5:
            parts = [part for part in parts if part not in {"and", "with"}]
        slug = base = "-".join(parts)
        more = 2
        while slug in seen:
            slug, more = f"{base}-{more}", more + 1
        seen.add(slug)
        return slug

    def summary(self, names: list[str]) -> str:
        rng = self.random
        first, second = rng.choice(names), rng.choice(names)
        return rng.choice(
            (
                f"{first} does the work here; {second} makes it taste of something.",
                f"Keeps three days in the fridge. Good cold, with more {second} on top.",
                f"The {first} goes in last so that it stays crisp.",
                f"For the evening after a long row: {first}, {second}, nothing else to chop.",
            )
        ).capitalize()

    def allergens(self, foods: list[str]) -> tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]:
        rng = self.random
        contains = {name for food in foods for name in food.partition(":")[2].split(",") if name}
        may = {name for name in SINGLE if name not in contains and rng.random() < 0.015}
        unknown = set(SINGLE) - contains - may if rng.random() < 0.06 else set()
        if not unknown and rng.random() < 0.02:
            unknown = {"celery"} - contains - may
        listed = tuple(name for name in SINGLE if name in contains)
        if rng.random() < 0.01:
            listed = (*listed, "nuts")
            unknown |= {"almond", "hazelnut", "walnut"} - contains - may
        return (
            listed,
            tuple(name for name in SINGLE if name in may),
            tuple(name for name in SINGLE if name in unknown),
        )

    def group(self, ids: tuple[str, ...], *states: tuple[str, ...]) -> str:
        """A group as a whole; once in a while by a member that no law lists (a pine nut)."""
        unlisted = self.random.random()
        if unlisted < 0.03:
            return "contains" if unlisted < 0.01 else "may_contain" if unlisted < 0.02 else "unknown"
        for state, named in zip(("contains", "may_contain", "unknown"), states, strict=True):
            if set(ids) & set(named):
                return state
        return "not_recorded"

    def swaps(self, written: set[str], contains: tuple[str, ...]) -> Swaps:
        """One recipe in three has something to choose: one row or two that can be other than written, or a topping."""
        chance = self.chance
        sort = chance.random()
        if sort < 0.08:
            return Swaps((Told("optional_adds", (chance.choice(SINGLE),)),))
        if sort > 0.33 or not written:
            return NO_SWAPS
        left = sorted(written)
        rows = []
        for _ in range(chance.choice((1, 1, 1, 2))):
            own = frozenset(chance.sample(left, min(len(left), chance.choice((1, 1, 2)))))
            left = [name for name in left if name not in own]
            other = frozenset(chance.sample(SINGLE, chance.choice((0, 0, 1, 1, 2))))
            rows.append([own, other] if not other < own else [other])
        fixed = frozenset(left).union(*(ways[0] for ways in rows if len(ways) == 1))
        free = tuple(tuple(in_order(way) for way in ways) for ways in rows if len(ways) > 1)
        gone = {n for n in written - fixed if all(any(n not in way for way in ways) for ways in free)}
        if not gone:
            return NO_SWAPS
        told = (
            [Told("swap_removes", in_order(gone & set(contains)))] if gone & set(contains) else [Told("swap_settles")]
        )
        brought = {name for ways in rows for way in ways for name in way} - written
        if brought:
            told.append(Told("swap_adds", in_order(brought)))
        return Swaps(tuple(told), in_order(fixed), free, frees=True)

    def suits(self, names: list[str], contains: tuple[str, ...]) -> tuple[tuple[str, bool | None], ...]:
        flesh = any(word in name for name in names for word in _MEAT) or "fish" in contains
        vegetarian = None if self.random.random() < 0.03 else not flesh
        vegan = vegetarian and not {"milk", "eggs"} & set(contains)
        pork = not any(word in name for name in names for word in ("pork", "bacon", "ham", "chorizo", "gelatine"))
        return (("vegetarian", vegetarian), ("vegan", vegan), ("no_pork", pork), ("no_alcohol", "wine" not in names))


def in_order(ids: Iterable[str]) -> tuple[str, ...]:
    """Ids as the law orders them, generic ones last."""
    return tuple(sorted(ids, key=(*SINGLE, "gluten", "nuts").index))


def generic_ids(groups: Iterable[tuple[str, str]]) -> set[str]:
    """What stands for groups that are there as a whole."""
    names = {"gluten cereals": "gluten", "nuts": "nuts"}
    return {names[group] for group, state in groups if state != "not_recorded"}


def made_cards(count: int, seed: int = 1) -> list[Card]:
    """`count` cards with different slugs."""
    maker = _Maker(seed)
    seen: set[str] = set()
    return [maker.card(None, seen) for _ in range(count)]
