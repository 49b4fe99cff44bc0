"""Grams -> components: retention, yield, portions, ranges. May import model, problems, resources, reading, composition.

    books.NutritionBooks                     retention table, typical yields, looseness figures (content/)
        .load(log) -> NutritionBooks
    dish.compute(page, ingredients, books, log) -> Dish | None
    figures.combine(dish, books, weights, required) -> Figure
        a linear combination of components over the whole batch, e.g. {"NA_mg": 0.0025} for salt in grams,
        with its range and its coverage (a row is covered when all `required` tags are known)
    figures.uncertain(dish, books, weights) -> tuple[(ingredient index, half-width), ...]   largest first
"""
