"""Text -> model: hub settings, recipe pages, tables. May import model, problems, resources.

Every reader takes the decoded text (or bytes), the file's name inside the hub
and a ProblemLog; it gives a model record, or None when errors were logged. All
problems of a file are reported in one run.

    files.decode(data: bytes, file, log) -> str | None        UTF-8, size limit (2 MB)
    files.read(path, file, log) -> str | None                 the same; the size is looked at before anything is read
    settings.read_settings(text, file, log) -> Settings | None
    pages.read_page(text, file, log) -> RecipePage | None
    pages.read_draft(text, file, log) -> RecipePage | None    as far as it can be read, also with errors
    tables.read_foods(text, file, log, vocabulary, today) -> list[Food]     columns of a problem: cells, from 1
    tables.read_measures(text, file, log) -> list[MeasureLine]
    packs.read_packs(text, file, log, vocabulary) -> tuple[list[Food], list[MeasureLine]]   bought packs as printed
    vocabulary.load() -> Vocabulary    allergen ids and synonyms, kinds, states, groups
    yaml_nodes.parse(text, file, log, first_line) -> Node | None    YAML with places; no aliases
    fields.Fields(mapping, file, log)  the values of a mapping by key: texts, numbers, lists, dates
    amounts.parse_amount(text) -> tuple[Quantity | None, str]     number part and the rest; raises Trouble
    quantities.parse_minutes / parse_days / parse_grams (text) -> float     raise Trouble
    fold.fold(name) -> str             the key under which a name is looked up
    fences.fences(text) -> Iterator[Fence]     fenced blocks by CommonMark's rules
"""
