"""One file a page kind. Each takes the theme and model records, gives path -> bytes.

What each template receives is documented by the view records of its module
(and of panel_view, allergen_view, listing): a hub may replace any template and
rely on them.

    recipe.render(theme, dish, label, *, known, log)      recipes/<slug>/index.html
    listing.render(theme, cards)                          recipes/index.html, recipes by meal
    home.render(theme, cards)                             index.html
    food.render(theme, food, uses)                        foods/<id>/index.html
    foods.render(theme, foods, cards)                     foods/index.html
    method.render(theme, rules, foods)                    method/index.html
    corrections.render(theme, corrections)                corrections/index.html
    missing.render(theme)                                 404.html
    find, bands                                           the find page, and pages by energy band
"""
