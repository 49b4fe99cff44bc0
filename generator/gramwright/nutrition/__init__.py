"""Grams -> components: retention, yield, portions, ranges. May import model, problems, resources, reading, composition.

    books.NutritionBooks                     retention table, typical yields, looseness, plausible values (content/)
        .load(log) -> NutritionBooks
        .typical_yield(name) -> TypicalYield     raises Trouble 'unknown-yield'
    dish.compute(page, ingredients, books, log) -> Dish | None
    dish.amounts(ingredient, books) -> Mapping[Tag, float]
        the known amounts of one row after retention (for swaps, and rows that do not count)
    figures.combine(dish, books, weights, required) -> Figure
        a linear combination of components over the whole batch, e.g. {"NA_mg": 0.0025} for salt in grams,
        with its range and its coverage (a row is covered when all `required` tags are known)
    figures.uncertain(dish, books, weights, required=None) -> tuple[(ingredient index, half-width), ...]   largest first
    figures.per_100g(dish, books, figure) -> Figure
        a batch figure per 100 g, with the looseness of the finished weight
    parts.finished_ends(dish, books) -> (low, high)
        the ends of the weight behind per-100 g figures, as shares of it

Inside: content (shipped files) -> retention, yields, looseness, plausible -> profiles (foods as arrays) -> books ->
parts (a recipe as foods, to any depth) -> ranges (sums and their ends) -> figures, dish. How ranges come about is
written in `ranges`; where every half-width comes from, in content/nutrition/looseness.yaml.
"""
