"""Model -> pages, panel, search index, feeds, pictures. May import every earlier room; imported by publishing only.

    facts.facts(dish, label) -> dict                    facts.json (DESIGN section 7), stable order
    panel.draw(dish, label) -> Panel                    geometry of the graduated rule, computed once
    theme.Theme(settings, hub_root)                     Jinja2 environment, words, hashed assets, overrides
    cards.card(dish, label) -> Card                     what lists, find and feeds need to know of a recipe
    pages/*.py                                          one file a page kind, one signature each
    search.build(cards) -> dict[str, bytes]             the find page's data files
    feeds.*                                             feed.xml, sitemap.xml, robots.txt, manifest.webmanifest
    prose.render(markdown, file, first_line, log) -> str   safe HTML; raw HTML shown as text and reported
"""
