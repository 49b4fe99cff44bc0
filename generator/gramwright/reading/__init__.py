"""Text -> model: hub settings, recipe pages, tables. May import model, problems, resources.

Every reader takes the decoded text (or bytes), the file's name inside the hub
and a ProblemLog; it gives a model record, or None when errors were logged. All
problems of a file are reported in one run.

    files.decode(data: bytes, file, log) -> str | None        UTF-8, size limit (2 MB)
    settings.read_settings(text, file, log) -> Settings | None
    pages.read_page(text, file, log) -> RecipePage | None
    tables.read_foods(text, file, log, vocabulary) -> list[Food]
    tables.read_measures(text, file, log) -> list[MeasureLine]
    vocabulary.load() -> Vocabulary    allergen ids and synonyms, kinds, states, groups
    yaml_nodes.parse(text, file, log, first_line) -> Node | None    YAML with places; no aliases
    amounts.parse_amount(text) -> tuple[Quantity | None, str]     number part and the rest; raises Trouble
"""
