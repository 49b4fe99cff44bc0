"""The food table: exact lookup, measures -> grams, audit, imports. May import model, problems, resources, reading.

table.FoodTable(foods, measure_lines, own_foods, own_measure_lines, system)
                                           foods with their measures; the hub's own replace shipped ones by id
    .problems                              what is wrong between the tables
    .lookup(name) -> Food                  raises Trouble 'unknown-food' / 'ambiguous-food' with candidates
    .get(food_id) -> Food | None
    .search(text) -> list[Food]            for `foods find`
    .answer(name) -> tuple[str, ...]       the ids that a name reaches (what a page depends on)
    .listen(heard) -> the set before       every folded name looked up from now on is added to `heard`
units.MeasureSystem.of(spoons, cups)       unit word -> grams or millilitres; Pint asked once per unit
units.factors() / units.prime(factors)     what Pint said, to keep between processes
resolve.resolve(page, table, system, log, dish_of) -> tuple[Ingredient, ...] | None
    dish_of(slug) -> Dish                  raises Trouble 'unknown-recipe' / 'recipe-cycle'
library.load_shipped(vocabulary, log) -> tuple[list[Food], list[MeasureLine]]
audit.audit(foods, today) -> list[Finding]   one check a file; thresholds and explanations are content/audit
imports.layouts, imports.target            public table layouts -> our CSV, by the mapping files in content/imports
"""
