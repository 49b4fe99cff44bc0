"""Takes a dish, its energy and a rule set, gives what may be claimed: arithmetic, near misses, and what is not known.

Only what the author asks for is a problem; claims that hold unasked are listed
too, weaker ones left out beside stronger ones, and so are near misses.

    Judge(dish, rules, energy)       weighs single claims (labelling.claim_judge)
    weigh(judge, log)                all of a page's claims, problems logged
"""

from __future__ import annotations

from gramwright.labelling.claim_judge import Judge
from gramwright.labelling.claim_notes import note
from gramwright.labelling.rules_model import ClaimRule
from gramwright.labelling.ruleset_reader import folded
from gramwright.model import ClaimFinding
from gramwright.problems import Place, ProblemLog, near

__all__ = ["Judge", "weigh"]


def weigh(judge: Judge, log: ProblemLog) -> tuple[ClaimFinding, ...]:
    """Findings: first the claims the author asks for, then those that hold unasked, then near misses.

    Logs 'unknown-claim', 'claim-not-allowed', 'claim-not-provable' and what labelling.claim_notes has to add at the
    page's `claims`.
    """
    rules, english = judge.rules, judge
    asked = [judge.find(claim, asked=True) for claim in _asked(judge, log)]
    place = judge.dish.page.place_of("claims")
    for finding in asked:
        if not finding.holds:
            english = english.in_english()
            finding = english.find(english.rules.claims[finding.name], asked=True)
            _report(finding, english.rules.claims[finding.name], english.rules.claims_law, place, log)
        else:
            note(judge, finding, place, log)
    names = {finding.name for finding in asked}
    holding: list[ClaimRule] = []
    close: list[ClaimRule] = []
    for claim in judge.worth():
        if claim.name in names:
            continue
        verdict = judge.holds(claim)
        if verdict:
            holding.append(claim)
        elif verdict is False and not claim.each and judge.near(claim):
            close.append(claim)
    needless = {
        weaker for claim in (*holding, *(rules.claims[f.name] for f in asked if f.holds)) for weaker in claim.weaker
    }
    unasked = [judge.find(claim, asked=False) for claim in holding if claim.name not in needless]
    misses = [judge.find(claim, asked=False) for claim in close if claim.name not in needless]
    return (*asked, *unasked, *(finding for finding in misses if finding.near_miss))


def _report(finding: ClaimFinding, claim: ClaimRule, law: str, place: Place, log: ProblemLog) -> None:
    what = f"the claim '{finding.name}'"
    if finding.holds is False:
        log.error(
            place,
            "claim-not-allowed",
            f"expected {what} to meet {law}, found {finding.because}",
            f"{finding.near_miss or 'change the recipe'}, or leave the claim out",
        )
    else:
        log.error(
            place,
            "claim-not-provable",
            f"expected {what} to be proven under {law}, found that {finding.because}",
            "give the missing figures, weigh the finished dish, or leave the claim out"
            if claim.screen or claim.main_dish
            else "leave the claim out: no figures of one recipe can prove it",
        )


def _asked(judge: Judge, log: ProblemLog) -> list[ClaimRule]:
    rules = judge.rules
    found: dict[str, ClaimRule] = {}
    for name in judge.dish.page.claims:
        known = rules.claim_names.get(folded(name))
        if known is not None:
            found.setdefault(known, rules.claims[known])
            continue
        close = list(dict.fromkeys(rules.claim_names[key] for key in near(folded(name), rules.claim_names)))
        if not rules.claims:
            hint = f"no conditions of claims are recorded for {rules.name}: leave the claim out"
        elif close:
            hint = f"did you mean {' or '.join(close)}?"
        else:
            hint = "claims are written as 'high fibre', 'low fat', 'source of protein'"
        log.error(
            judge.dish.page.place_of("claims"),
            "unknown-claim",
            f"expected a claim that {rules.claims_law} knows, found '{name}'",
            hint,
        )
    return list(found.values())
