"""What an author should know of a claim that holds. Takes a judge and its finding, logs warnings; a claim stays one.

note(judge, finding, place, log)     'claim-near-limit', 'claim-companion'
"""

from __future__ import annotations

from gramwright.labelling.claim_data import claim_data
from gramwright.labelling.claim_judge import Judge
from gramwright.model import ClaimFinding
from gramwright.problems import Place, ProblemLog


def note(judge: Judge, finding: ClaimFinding, place: Place, log: ProblemLog) -> None:
    """Warns at `place`, where a page makes the claim: of figures whose likely range reaches past the limit, and of
    what the law wants said beside the claim and the page leaves out."""
    english = judge.in_english()
    if finding.doubt:
        because = english.find(english.rules.claims[finding.name], asked=True).because
        log.warn(
            place,
            "claim-near-limit",
            f"expected figures whose whole likely range meets the claim '{finding.name}', found {because}: it holds by "
            "the figure, its likely range reaches past the limit",
            "the page says so; weigh what is measured loosely, or the finished dish, or keep further from the limit",
        )
    rule = english.rules.claims[finding.name].companion
    if not finding.companion or rule is None:
        return
    page = judge.dish.page
    said = " ".join((page.title, page.summary, page.intro, page.method)).casefold()
    if any(text.casefold() in said for text in (finding.companion, rule.text)):
        return
    log.warn(
        place,
        "claim-companion",
        f"expected '{rule.text}' beside the claim '{finding.name}', which {english.rules.claims_law} wants of food "
        f"with {claim_data().nutrients[rule.tag]}, found nothing of it in the page's own words",
        "the published page says it beside the claim; say it yourself wherever the claim goes without that page",
    )
