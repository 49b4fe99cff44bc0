"""The food table: exact lookup, measures -> grams, audit, imports. May import model, problems, resources, reading.

    table.FoodTable(foods, measure_lines)      foods with their measures; later foods override earlier by id
        .lookup(name) -> Food                  raises Trouble 'unknown-food' / 'ambiguous-food' with candidates
        .get(food_id) -> Food | None
        .search(text) -> list[Food]            for `foods find`
        .answer(name) -> tuple[str, ...]       the ids that a name reaches (what a page depends on)
    units.MeasureSystem.of(spoons, cups)       unit word -> grams or millilitres; Pint asked once per unit
    resolve.resolve(page, table, system, log, dish_of) -> tuple[Ingredient, ...] | None
        dish_of(slug) -> Dish                  raises Trouble 'unknown-recipe' / 'recipe-cycle'
    library.load_shipped(vocabulary, log) -> tuple[list[Food], list[MeasureLine]]
    audit.audit(foods) -> list[Finding]
    imports.*                                  public table layouts -> our CSV
"""
