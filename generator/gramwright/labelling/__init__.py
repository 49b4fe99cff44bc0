"""Rule sets: energy, rounding, reference intakes, allergens, diets, claims, cautions.

May import model, problems, resources, reading, composition, nutrition.

    rulesets.load(id) -> RuleSet            from content/labelling/<id>.yaml; raises Trouble 'unknown-rule-set'
    rulesets.available() -> tuple[str, ...]
    label.label(dish, rules, books, settings, log) -> Label
    rounding.declare(rules, tag, amount) -> str      one figure as the law wants it, half up, from decimals
    allergens.findings(ingredients, rules, ...) -> AllergenFindings
    diets.suits(ingredients, vocabulary) -> dict[str, bool | None]
    claims.weigh(...) -> tuple[ClaimFinding, ...]
    cautions.apply(...) -> tuple[Caution, ...]
"""
