"""Pictures: share cards and photos. Takes a dish and its label, or a photo's bytes; gives files' bytes.

    easel.Easel(theme, hub_root)          fonts and palette of one hub; one a process
    share_card.face(dish, label, theme)   what a card shows: texts, and the panel's geometry
    share_card.draw(easel, face, shape)   PNG bytes; `share_card.key` tells whether a drawn one still holds
    photos.read(data), photos.make(...)   a photo in several widths and formats, without its metadata

Only this package imports Pillow.
"""
