"""Model -> pages, panel, search index, feeds, pictures. May import every earlier room; imported by publishing only.

    facts.facts(dish, label, swaps) -> dict             facts.json (DESIGN section 7), stable order
    cards.card(dish, label, swaps) -> Card              what lists, find, food pages and feeds need; survives JSON
    theme.Theme(settings, hub_root)                     templates, words, hashed assets, links, overrides; one a process
    assets.fingerprint(hub_root) -> str                 changes when any theme file or override does; needs no Jinja2
    panel.draw(dish, label) -> Panel                    geometry of the graduated rule, computed once
    panel_view, allergen_view, allergen_line, rows_view, listing_view   texts and lengths, what templates receive
    prose.render(text, *, file, first_line, log, ...)   safe HTML; raw HTML and unsafe links shown as text and reported
    structured.recipe(dish, label, settings, ...)       schema.org Recipe as JSON-LD
    pictures.share_card, pictures.photos                share cards and photos; the only part that imports Pillow
    photo_view.view(photo, page, label, theme)          what a page shows of them, and its OpenGraph image
    search.build(cards) -> dict[str, bytes]             the find page's data files
    feeds.files(theme, cards, paths) -> dict            feed.xml, sitemap.xml, robots.txt, manifest.webmanifest
    offline.worker(theme, publication, hub_root)        service-worker.js: reading without a network

What publishing calls, each giving path -> bytes:

    pages.recipe.render(theme, dish, label, *, known, log)   known(slug) says whether a recipe exists (for links)
    pages.labels.render(theme, dish, label)                  label sheets for containers
    pages.home.render(theme, cards)
    pages.listing.render(theme, cards)
    pages.food.render(theme, food, [(card, use), ...])       for every food id in any Card.uses: recipe pages link to it
    pages.foods.render(theme, foods, cards)
    pages.method.render(theme, rules, foods)
    pages.corrections.render(theme, corrections)
    pages.missing.render(theme)
    pages.offline.render(theme)
    theme.asset_files()
    feeds.files(theme, cards, paths)                         paths: of all pages made; recipe pages come from the cards

Pages hold links to other pages of the site by path alone; a page depends on
the records it is given, on the theme's fingerprint and on hub.yaml. Theme and
page functions raise Trouble ('unknown-language', 'theme-file', 'unknown-word',
'template' ...) when a hub's own words or templates are broken.

A list of recipes on a page: `listing_view.dishes(cards, words, names)` as
`list`, with `parts/list_defs.html` once and `parts/dishes.html`.
"""
