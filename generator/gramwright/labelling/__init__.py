"""Rule sets: energy, rounding, reference intakes, allergens, diets, claims, cautions.

May import model, problems, resources, reading, composition, nutrition.

    rulesets.load(id) -> RuleSet            from content/labelling/<id>.yaml; raises Trouble 'unknown-rule-set'
    rulesets.available() -> tuple[str, ...]
    label.label(dish, rules, books, settings, vocabulary, log, today) -> Label
    energy.energy(dish, rules, books, settings) -> Energy        by factors and by the table, which is declared
    rounding.declare(rules, tag_or_key, amount) -> str           one figure as the law wants it, half up, from decimals
    rounding.plain(rules) -> dict                                the same rules as data, for the browser's code
    declaration.declaration(rules, per_portion, per_100g) -> tuple[DeclaredLine, ...]
    claims.weigh(judge, log) -> tuple[ClaimFinding, ...]         a page's claims; claims.Judge(dish, rules, energy)
    claim_words.check_words(judge, language, log)                wording that amounts to a claim
    allergens.findings(ingredients, rules_id, settings, today) -> AllergenFindings
    diets.suits(ingredients) -> dict[str, bool | None]
    cautions.apply(dish, per_portion, per_100g, rules_id, settings, log) -> tuple[Caution, ...]

A RuleSet also says `names` (line key -> the law's English name), `columns` (which
columns its declaration wants, in order), `leftovers` (keeping and reheating, absent
where no figure is known) and `notes` (everything that was not read in the law's own text).
"""
