"""What `gramwright tune` says. Takes a TuneResult, gives lines and JSON."""

from __future__ import annotations

from typing import Any

from gramwright.prep.tune import Move, Reached, written
from gramwright.publishing.changes import as_lines
from gramwright.publishing.tuning import TuneResult


def lines(result: TuneResult) -> list[str]:
    tuned = result.tuned
    page = tuned.before.page
    said = [f"{page.title} ({result.file}), per portion of {page.portions:g}:"]
    if not tuned.met:
        weight = "" if tuned.finished is None else f" and a finished weight of {tuned.finished}"
        said.append(f"impossible within these limits{weight}; the nearest point that can be reached:")
    elif not tuned.moves:
        said.append("every target is met as it is")
    said += [f"    {_move(move)}" for move in tuned.moves]
    said += [f"  {_reached(one)}" for one in tuned.reached]
    said.append(f"  {_weight(result)}")
    if tuned.currency:
        (old, share), (new, _) = tuned.cost_before, tuned.cost_after
        said.append(f"  cost: {old:.2f} -> {new:.2f} {tuned.currency} (prices known for {share:.0%} of the weight)")
    else:
        said.append("  cost: not known (no pack of its foods has a price, or not all in one currency)")
    if result.change is not None:
        said += as_lines([result.change])
    allergens = _allergens(result)
    said.append("  allergens: " + ("; ".join(allergens) if allergens else "no change"))
    claims = _claims(result)
    said.append("  claims: " + ("; ".join(claims) if claims else "no change"))
    if result.written:
        said.append(f"written to {result.file}")
    else:
        said.append("nothing was written" + (" (--write does)" if tuned.met and tuned.moves else ""))
    return said


def as_json(result: TuneResult) -> dict[str, Any]:
    tuned = result.tuned
    return {
        "recipe": tuned.before.page.slug,
        "file": result.file,
        "possible": tuned.met,
        "written": result.written,
        "rows": [
            {
                "row": move.lever.index,
                "food": move.lever.name,
                "unit": move.lever.unit,
                "before": move.lever.amount,
                "after": move.after,
                "grams": round(move.grams, 3),
            }
            for move in tuned.moves
        ],
        "targets": [
            {
                "target": one.target.key,
                "tag": one.target.tag,
                "from": one.target.low,
                "to": one.target.high,
                "before": one.before,
                "after": one.after,
                "coverage": one.coverage,
                "fare": one.fare,
            }
            for one in tuned.reached
        ],
        "weights_g": {
            "raw": [tuned.before.raw_g, tuned.after.raw_g],
            "finished": [tuned.before.finished_g, tuned.after.finished_g],
            **({} if tuned.finished is None else {"finished_within": [tuned.finished.low, tuned.finished.high]}),
        },
        "cost": {
            "before": tuned.cost_before[0],
            "after": tuned.cost_after[0],
            "known": tuned.cost_before[1],
            "currency": tuned.currency,
        }
        if tuned.currency
        else None,
        "allergens": _allergens(result),
        "claims": _claims(result),
        "change": None if result.change is None else result.change.as_json(),
        "problems": [problem.as_json() for problem in result.problems],
    }


def _move(move: Move) -> str:
    lever = move.lever
    unit = f" {lever.unit}" if lever.unit else ""
    return f"{lever.name}: {written(lever.amount)} -> {written(move.after)}{unit} ({move.grams:+.0f} g in the batch)"


def _reached(one: Reached) -> str:
    target = one.target
    unit = target.tag.rpartition("_")[2]
    decimals = 0 if unit in ("kcal", "kJ", "mg") and one.fare != "missed" else 1

    def text(amount: float | None) -> str:
        return "not known" if amount is None else f"{amount:.{decimals}f}"

    ends = f"{'' if target.low is None else f'{target.low:g}'}..{'' if target.high is None else f'{target.high:g}'}"
    fare = {
        "met": "met",
        "missed": "missed",
        "unsure": f"met as far as is known ({one.coverage:.0%} of the weight), so not for sure",
    }[one.fare]
    return f"{target.key} {ends} {unit}: {text(one.before)} -> {text(one.after)}, {fare}"


def _weight(result: TuneResult) -> str:
    before, after = result.tuned.before, result.tuned.after
    if before.finished_g is not None and after.finished_g is not None:
        limits = "" if result.tuned.finished is None else f", within {result.tuned.finished}"
        return f"finished weight: {before.finished_g:.0f} -> {after.finished_g:.0f} g{limits}"
    return f"weight of all rows: {before.raw_g:.0f} -> {after.raw_g:.0f} g (the finished weight is not known)"


def _claims(result: TuneResult) -> list[str]:
    """Every claim that can be said of one of the two and not of the other."""
    old = {claim.name for claim in result.tuned.label_before.claims if claim.holds}
    new = {claim.name for claim in result.tuned.label_after.claims if claim.holds}
    gone = [f"'{name}' can no longer be said" for name in sorted(old - new)]
    return gone + [f"'{name}' can now be said" for name in sorted(new - old)]


def _allergens(result: TuneResult) -> list[str]:
    """Every allergen whose state differs."""
    old, new = result.tuned.label_before.allergens.states, result.tuned.label_after.allergens.states
    return [
        f"{name}: {old[name].value} -> {new[name].value}" for name in old if name in new and old[name] is not new[name]
    ]
