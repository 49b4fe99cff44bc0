"""Public food tables -> ours. Takes the name of a layout (or a mapping file) and the table, gives rows and measures.

    layouts.load_layout(name, log) -> ImportMapping      a shipped layout, or a mapping file of the user's
    layouts.read(mapping, path, log, progress) -> Imported
    target.merge(imported, mapping, before, log) -> Merged   our CSV text; what the author wrote stays

Inside: foreign (one cell) and sheets (one CSV file) -> mapping, mapping_reader (how a table becomes ours) -> rows ->
table (one food a line) and fdc (USDA FoodData Central) -> layouts; target writes. Mapping files are content/imports.
Nothing is dropped in silence: a cell that cannot be read is a located warning, and what a mapping does not name, or
passes over, is counted. No import says anything of allergens.
"""
