"""A recipe's page. Takes a dish and its label, gives recipes/<slug>/index.html.

Template `recipe.html` gets `shell` and `recipe`, a RecipeView.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import NamedTuple

from markupsafe import Markup

from gramwright.labelling import rulesets
from gramwright.labelling.cautions import known_ids, name_of
from gramwright.labelling.choice_cautions import by_choice
from gramwright.labelling.keeping_advice import beyond
from gramwright.labelling.rules_model import Guidance, RuleSet
from gramwright.labelling.sentences import foreign, sentences
from gramwright.model import DAYS_A_MONTH, DeclaredLine, Dish, Keeps, Label
from gramwright.problems import ProblemLog
from gramwright.site import (
    allergen_view,
    declaration_view,
    ingredient_list_view,
    other_rules_view,
    panel_view,
    photo_view,
    prose,
    rows_view,
    structured,
    timeline_view,
)
from gramwright.site.cook.bench import Bench, Carried
from gramwright.site.line_names import line_names
from gramwright.site.listing_view import duration
from gramwright.site.pages.notes import Note, NoteView
from gramwright.site.pages.notes import views as note_views
from gramwright.site.pictures.photos import Photo
from gramwright.site.theme import Theme
from gramwright.site.words import Words

SCRIPTS = ("cook-words.js", "cook.js")
MORE = ("cook-rules.js", "cook-choice.js")
UNCERTAIN_ROWS = 3
"""Rows named as making the figure uncertain."""
ASKED_DIETS = ("vegetarian", "vegan")
"""Diets of which a page also says that the answer is not known."""


class FactView(NamedTuple):
    """One of the facts under the title: 'Makes', '4 portions'."""

    name: str
    value: str


class LineView(NamedTuple):
    """One line of the declaration. Energy comes in two texts (kJ, kcal); other lines have ''."""

    name: str
    level: int
    per_100g: str
    per_100g_second: str
    per_portion: str
    per_portion_second: str
    share: str
    at_least: bool


class NameView(NamedTuple):
    """A name and what is said of it: a claim and its arithmetic, a caution and its source."""

    name: str
    text: str
    own: bool = False
    """A caution that the author wrote, or that only a choice brings: it stays whatever a reader chooses."""
    lang: str = ""
    """The language of what is said, where it is not the page's."""
    doubt: str = ""
    """What a claim's figures leave open."""


class RecipeView(NamedTuple):
    """What `recipe.html` gets."""

    title: str
    summary: str
    intro: Markup
    method: Markup
    facts: tuple[FactView, ...]
    panel: panel_view.PanelView
    parts: tuple[rows_view.PartView, ...]
    has_optional: bool
    has_swaps: bool
    lines: tuple[LineView, ...]
    shares: bool
    """Whether any line has a share of a day."""
    day: str
    """Who the share of a day is for; '' when the rule set has no words for it."""
    basis: str
    """What per 100 g refers to."""
    energy_by: str
    coverage: str
    """What is known for a part of the weight only, in words; ''."""
    to_taste: str
    """What leaves out salt that is added to taste, in words; ''."""
    allergens: allergen_view.AllergensView
    listed: ingredient_list_view.IngredientListView
    suits: tuple[str, ...]
    suits_unknown: tuple[str, ...]
    """Diets that are asked for most and not known."""
    declared: tuple[NameView, ...]
    """What the author says and nobody can compute, with the reason."""
    claims: tuple[NameView, ...]
    uncertain: tuple[str, ...]
    keeping: str
    keeping_advice: tuple[str, ...]
    """The rule set's guidance where the author says longer."""
    cautions: tuple[NameView, ...]
    trace: tuple[rows_view.TraceView, ...]
    facts_href: str
    notes: tuple[NoteView, ...] = ()
    """What recent corrections moved, newest first."""
    slug: str = ""
    card: bool = False
    """Whether there are share cards beside the page."""
    portions: float = 1
    textures: tuple[str, ...] = ()
    """Pieces that need a texture: those drawn, or with something to choose all that could be."""
    cook: Carried | None = None
    """What the page's script works with; None: the page has no script."""
    cook_more: str = ""
    """Scripts that are loaded when a reader changes something, a space between them."""
    photo: photo_view.PhotoView | None = None
    others: tuple[other_rules_view.OtherRulesView, ...] = ()
    """The same by further rule sets."""
    timeline: timeline_view.TimelineView | None = None
    """What to do when; None: its page has no steps block."""


class Drawn(NamedTuple):
    """What the pages of one recipe have in common, made once."""

    panel: panel_view.PanelView
    allergens: allergen_view.AllergensView


def path_of(slug: str) -> str:
    return f"recipes/{slug}/index.html"


def draw(theme: Theme, dish: Dish, label: Label) -> Drawn:
    """The panel, its links as the recipe's page has them, and the allergens in words."""
    return Drawn(
        panel_view.view(dish, label, theme.words, theme.root(path_of(dish.page.slug))),
        allergen_view.view(label.allergens, theme.words),
    )


def render(
    theme: Theme,
    dish: Dish,
    label: Label,
    *,
    known: Callable[[str], bool],
    log: ProblemLog,
    notes: tuple[Note, ...] = (),
    photo: Photo | None = None,
    bench: Bench | None = None,
    today: date = date.max,
    drawn: Drawn | None = None,
    others: Sequence[tuple[RuleSet, Label]] = (),
) -> dict[str, bytes]:
    """The page; `known` says whether a slug is a recipe of the hub, `bench` makes it one to cook from and change;
    `others` are the dish's labels by rule sets beside the hub's own.

    Without a `today` every pack counts as read too long ago. Problems of the prose go to `log` as warnings.
    """
    page = dish.page
    path = path_of(page.slug)
    root = theme.root(path)
    foods = {i.key for i in dish.ingredients} | {swap.key for i in dish.ingredients for swap in i.swaps}
    intro = prose.render(
        page.intro,
        file=page.place.file,
        first_line=page.intro_line,
        log=log,
        root=root,
        known=known,
        foods=foods,
        below=1,
    )
    method = prose.render(
        page.method, file=page.place.file, first_line=page.method_line, log=log, root=root, known=known, foods=foods
    )
    shown = photo_view.view(photo, page, label, theme)
    data = structured.recipe(
        dish, label, theme.settings, url=theme.absolute(path), steps=method.steps, images=shown.addresses
    )
    panel, allergens = drawn or draw(theme, dish, label)
    names = line_names(label.rule_set, theme.words)
    carried = None if bench is None else bench.carry(dish, label, theme.words)
    shell = theme.shell(
        path,
        kind="recipe",
        styles=(
            *(() if carried is None else ("cook.css",)),
            *(("rules.css",) if others else ()),
            *(("timeline.css",) if page.steps else ()),
        ),
        scripts=() if carried is None else SCRIPTS,
        title=page.title,
        description=page.summary,
        section="recipes",
        og_type="article",
        json_ld=structured.encode(data),
        image=shown.shared,
    )
    view = RecipeView(
        title=page.title,
        summary=page.summary,
        intro=intro.html,
        method=theme.timers.marked(method.html),
        facts=_facts(dish, theme.words),
        panel=panel,
        parts=rows_view.parts(dish, label, theme.words, root, allergen_view.law(label.rule_set, theme.settings, today)),
        has_optional=any(i.row.optional for i in dish.ingredients),
        has_swaps=any(i.swaps for i in dish.ingredients),
        lines=tuple([_line(line, names, theme.words) for line in label.lines]),
        shares=any(line.share for line in label.lines),
        to_taste=declaration_view.to_taste(label, label.lines, theme.words),
        day=theme.words.get(f"declaration.adult.{label.rule_set}", ""),
        basis=theme.words(declaration_view.BASIS[dish.finished_by]),
        energy_by=theme.words(f"declaration.by_{label.energy_by}"),
        coverage=declaration_view.coverage(label, label.lines, theme.words),
        allergens=allergens,
        listed=ingredient_list_view.view(dish, label.rule_set, theme.settings, today, theme.words),
        suits=tuple(theme.words.get(f"suits.{diet}", diet) for diet, answer in label.suits.items() if answer is True),
        suits_unknown=tuple(theme.words(f"suits.{diet}") for diet in ASKED_DIETS if label.suits.get(diet) is None),
        declared=tuple(
            NameView(_declared(each.name.strip(), theme.words), each.reason.strip()) for each in page.declared
        ),
        claims=_claims(label, theme),
        uncertain=_uncertain(dish, label, theme.words),
        keeping=keeping(page.keeps, theme.words),
        keeping_advice=_advice(page.keeps, rulesets.load(label.rule_set, theme.settings.language), theme.words),
        cautions=_cautions(dish, label, theme),
        trace=rows_view.trace(dish, label, theme.words, root),
        facts_href="facts.json",
        notes=note_views(notes, label.rule_set, theme.words),
        slug=page.slug,
        card=theme.settings.share_cards,
        portions=page.portions,
        textures=panel_view.PIECE_KEYS if carried and carried.choice else tuple(piece.fill for piece in panel.pieces),
        cook=carried,
        cook_more=" ".join(root + theme.asset(name) for name in MORE) if carried and carried.choice else "",
        photo=shown.photo,
        others=other_rules_view.views(dish, others, theme.words, root) if others else (),
        timeline=timeline_view.view(dish, theme.words, log) if page.steps else None,
    )
    return {path: theme.render("recipe.html", shell, recipe=view)}


def _facts(dish: Dish, words: Words) -> tuple[FactView, ...]:
    page = dish.page
    made = [FactView(words("recipe.makes"), words("recipe.portions", n=page.portions))]
    if dish.portion_g is not None:
        made.append(FactView(words("recipe.portion"), words.grams(dish.portion_g)))
    if page.hands_on_min is not None:
        made.append(FactView(words("recipe.hands_on"), duration(page.hands_on_min, words)))
    if page.total_min is not None:
        made.append(FactView(words("recipe.total"), duration(page.total_min, words)))
    return tuple(made)


def _line(line: DeclaredLine, names: Mapping[str, str], words: Words) -> LineView:
    per_100g, _, per_100g_second = words.localised(line.per_100g).partition(" / ")
    per_portion, _, per_portion_second = words.localised(line.per_portion).partition(" / ")
    return LineView(
        name=names.get(line.key, line.key),
        level=line.level,
        per_100g=words.joined(per_100g),
        per_100g_second=words.joined(per_100g_second),
        per_portion=words.joined(per_portion),
        per_portion_second=words.joined(per_portion_second),
        share=words.joined(line.share),
        at_least=line.at_least,
    )


def _declared(name: str, words: Words) -> str:
    """A declared diet ('halal') as the page names it."""
    return words.get(f"declared.names.{name.casefold()}", name)


def _uncertain(dish: Dish, label: Label, words: Words) -> tuple[str, ...]:
    return tuple(
        words("doubt.row", name=dish.ingredients[index].name, kcal=words.number(half_width))
        for index, half_width in label.uncertain[:UNCERTAIN_ROWS]
        if half_width >= 0.5
    )


def keeping(keeps: Keeps, words: Words) -> str:
    """How long it keeps as the author says, in words; '' when nothing is said."""
    fridge = "" if keeps.fridge_days is None else words("recipe.days", n=keeps.fridge_days)
    freezer = ""
    if keeps.freezer_days is not None:
        months = keeps.freezer_days / DAYS_A_MONTH
        whole = months >= 1 and months == round(months)
        freezer = words("recipe.months", n=round(months)) if whole else words("recipe.days", n=keeps.freezer_days)
    if fridge and freezer:
        return words("recipe.storage", fridge=fridge, freezer=freezer)
    if fridge:
        return words("recipe.storage_fridge", fridge=fridge)
    return words("recipe.storage_freezer", freezer=freezer) if freezer else ""


def _advice(keeps: Keeps, rules: RuleSet, words: Words) -> tuple[str, ...]:
    """What the guidance for left-overs says, where the author says longer."""
    fridge, freezer = beyond(keeps, rules)
    found: list[str] = []
    if fridge is not None:
        found.append(words("recipe.advice_fridge", time=_span(fridge, "days", words), source=_source(fridge, words)))
    if freezer is not None:
        time = _span(freezer, "months", words)
        found.append(words("recipe.advice_freezer", time=time, source=_source(freezer, words)))
    return tuple(found)


def _source(guidance: Guidance, words: Words) -> str:
    """Who says so, with how it was checked where it was not read itself."""
    cite, checked = guidance.source.cite, guidance.source.checked
    return cite if checked == "read" else f"{cite} ({sentences(words.language)[f'beside.{checked}']})"


def _span(guidance: Guidance, unit: str, words: Words) -> str:
    most = words(f"recipe.{unit}", n=guidance.high)
    if guidance.low == guidance.high:
        return most
    return words("plan.span", low=words.plain(guidance.low), high=most)


def _claims(label: Label, theme: Theme) -> tuple[NameView, ...]:
    """The claims that hold, with what the law wants said beside them, each with its arithmetic."""
    lang, joined = foreign(theme.settings.language), theme.words.joined
    return tuple(
        NameView(
            theme.words("list.comma").join(filter(None, (claim.shown or claim.name, claim.companion))),
            joined(claim.because),
            lang=lang,
            doubt=claim.doubt,
        )
        for claim in label.claims
        if claim.holds
    )


def _cautions(dish: Dish, label: Label, theme: Theme) -> tuple[NameView, ...]:
    """The engine's cautions (a silenced one by name, with the author's reason), those that only a swap or an optional
    row brings, then the page's and the hub's own."""
    known = known_ids()
    own = dict.fromkeys(text for text in (*dish.page.cautions, *theme.settings.cautions) if text not in known)
    said = [
        NameView(
            theme.words("recipe.silenced", name=name_of(caution.id, theme.settings.language), reason=caution.silenced)
            if caution.silenced
            else caution.text,
            caution.source,
            caution.id.startswith("author-"),
            "" if caution.silenced else caution.lang,
        )
        for caution in label.cautions
    ]
    said += [
        NameView(
            theme.words(
                "recipe.caution_with", name=theme.words("list.comma").join(choice.names), text=choice.caution.text
            ),
            choice.caution.source,
            own=True,
            lang=choice.caution.lang,
        )
        for choice in by_choice(dish, label.per_portion, label.per_100g, label.rule_set, theme.settings)
    ]
    shown = {caution.name for caution in said}
    return (*said, *(NameView(text, "", own=True) for text in own if text not in shown))
