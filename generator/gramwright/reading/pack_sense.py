"""Takes the printed figures of a pack, per 100 g; checks that they agree. Problems stand at their line."""

from __future__ import annotations

import math
from collections.abc import Mapping

from gramwright.model import KJ_PER_KCAL, Tag
from gramwright.problems import Place, ProblemLog
from gramwright.reading.cells import SALT_PER_SODIUM, derive
from gramwright.reading.energy_parts import load_factors
from gramwright.reading.pack_figures import PackRules, Printed

Figures = Mapping[Tag, Printed]

OVERRULE = "if the pack really says so, add explained: with the reason"


def check(figures: Figures, file: str, log: ProblemLog, rules: PackRules) -> None:
    """Errors where figures cannot both be true, or the energy is outside the law's tolerance; else warnings."""
    checks = _Checks(figures, file, log, rules)
    checks.units_of_energy()
    checks.salt()
    checks.parts()
    checks.whole()
    checks.energy()


class _Checks:
    def __init__(self, figures: Figures, file: str, log: ProblemLog, rules: PackRules) -> None:
        self.figures = figures
        self.file = file
        self.log = log
        self.rules = rules

    def place(self, tag: Tag) -> Place:
        node = self.figures[tag].node
        return Place(self.file, node.line, node.column)

    def units_of_energy(self) -> None:
        """kJ and kcal of the same energy."""
        kj, kcal = self.figures.get("ENERC_kJ"), self.figures.get("ENERC_kcal")
        if kj is None or kcal is None:
            return
        ratio = self.rules.ratio
        low, high = ratio["from"], ratio["to"]
        if "FIBTG_g" in self.figures and self.figures["FIBTG_g"].most >= ratio["fibre_g"]:
            low = ratio["fibre_from"]
        if "OA_g" in self.figures and self.figures["OA_g"].most >= ratio["acids_g"]:
            high = ratio["acids_to"]
        if low * kcal.least <= kj.most and kj.least <= high * kcal.most:
            return
        self.log.error(
            self.place("ENERC_kJ"),
            "energy-units",
            f"expected {low:g} to {high:g} kJ for 1 kcal, found {kj.value.amount:g} kJ for {kcal.value.amount:g} kcal",
            f"one of the two is mistyped; {OVERRULE}",
        )

    def salt(self) -> None:
        salt, sodium = self.figures.get("SALT_g"), self.figures.get("NA_mg")
        if salt is None or sodium is None:
            return
        factor = SALT_PER_SODIUM / 1000
        if salt.least <= sodium.most * factor and sodium.least * factor <= salt.most:
            return
        self.log.error(
            self.place("SALT_g"),
            "salt-and-sodium",
            f"expected salt of 2.5 times the sodium, found {salt.value.amount:g} g and {sodium.value.amount:g} mg",
            f"one of the two is mistyped, or in another unit; {OVERRULE}",
        )

    def parts(self) -> None:
        """Saturates within fat, sugars within carbohydrate ..."""
        for parts, whole in self.rules.parts:
            found = [tag for tag in parts if tag in self.figures]
            parent = self.figures.get(whole)
            if parent is None or not found:
                continue
            least = sum(self.figures[tag].least for tag in found)
            if least > parent.most + 1e-9:
                total = sum(self.figures[tag].value.amount for tag in found)
                self.log.error(
                    self.place(found[0]),
                    "part-above-whole",
                    f"expected {' and '.join(map(self.named, found))} within {self.named(whole)} "
                    f"({parent.value.amount:g} g), found {total:g} g per 100 g",
                    f"look at the figures again; {OVERRULE}",
                )

    def whole(self) -> None:
        """At most 100 g in 100 g."""
        tags = [tag for tag in self.rules.whole if tag in self.figures]
        if "CHOCDF_g" in self.figures:
            tags = [tag for tag in tags if tag != "FIBTG_g"] + ["CHOCDF_g"]
        elif "CHOAVL_g" in self.figures:
            tags.append("CHOAVL_g")
        least = sum(self.figures[tag].least for tag in tags)
        if tags and least > 100:
            self.log.error(
                self.place(tags[0]),
                "parts-over-100",
                f"expected parts of at most 100 g in 100 g, found {least:.4g} g ({', '.join(map(self.named, tags))})",
                f"look at the figures, and at what they are per; {OVERRULE}",
            )

    def energy(self) -> None:
        """Energy against its parts: a warning beyond what rounding hides, an error beyond the law's tolerance."""
        tag = "ENERC_kJ" if "ENERC_kJ" in self.figures else "ENERC_kcal"
        printed = self.figures.get(tag)
        if printed is None:
            return
        unit = 1.0 if tag == "ENERC_kJ" else KJ_PER_KCAL
        declared, half = printed.value.amount * unit, printed.half * unit
        factors = load_factors()
        energy = factors.of(
            derive({t: figure.value for t, figure in self.figures.items() if not t.startswith("ENERC")})
        )
        parts = [t for t in factors.kj if t in self.figures]
        rounding = half + sum(factors.kj[t] * self.figures[t].half for t in parts) + self.rules.slack * declared
        tolerance = math.hypot(
            *(factors.kj[t] * self.rules.tolerated(t, self.figures[t].value.amount) for t in parts), 1.0
        )
        below = energy.low - declared
        above = declared - energy.high if energy.complete else 0.0
        off = max(below, above)
        if off <= rounding:
            return
        what = "its parts" if energy.complete else "its printed parts alone"
        say = self.log.error if off > max(tolerance, rounding) else self.log.warn
        say(
            self.place(tag),
            "energy-and-parts",
            f"expected about {energy.middle:.0f} kJ per 100 g from {what}, found {declared:.0f} kJ",
            "look at every figure again; fibre, polyols, alcohol and organic acids bring energy too, and are often not "
            f"printed; {OVERRULE}",
        )

    def named(self, tag: Tag) -> str:
        """The pack's word of a component."""
        return next((key.replace("_", " ") for key, known in self.rules.lines.items() if known == tag), tag)
