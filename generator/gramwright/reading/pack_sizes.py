"""Takes the sizes and measures of a pack entry ('240 g of 400 g', '2 scoops = 60 g'), gives grams; half of packs.py."""

from __future__ import annotations

import re

from gramwright.problems import Trouble
from gramwright.reading.fields import Fields
from gramwright.reading.pack_figures import measure, singular
from gramwright.reading.quantities import parse_grams
from gramwright.reading.tables import MeasureLine
from gramwright.reading.yaml_nodes import Scalar, Sequence, described

_VOLUME = re.compile(r"(\d+(?:[.,]\d+)?)\s*(ml|cl|l)", re.IGNORECASE)
_ML = {"ml": 1.0, "cl": 10.0, "l": 1000.0}


class Sizes:
    """Reads what a pack holds, what a serving weighs, and its measures, into `extra` and measure lines."""

    def __init__(self, fields: Fields, extra: dict[str, str]) -> None:
        self.fields = fields
        self.log = fields.log
        self.extra = extra

    def measures(self, food_id: str) -> tuple[float | None, list[MeasureLine]]:
        """(grams of a serving, measure lines)."""
        lines: dict[str, MeasureLine] = {}
        serving: float | None = None
        node = self.fields.scalar("serving", "a weight")
        if node is not None:
            named = "=" in node.text
            found = self.measure(node) if named else self.weight(node)
            if found is not None:
                count, name, serving = found
                self.extra["serving_g"] = f"{serving:g}"
                if named:
                    self.extra["serving_name"] = node.text.partition("=")[0].strip()
                    self.line(lines, food_id, singular(name, count), serving / count, node)
                self.line(lines, food_id, "serving", serving, node)
        listed = self.fields.node("measures")
        items = listed.items if isinstance(listed, Sequence) else [] if listed is None else [listed]
        for item in items:
            if not isinstance(item, Scalar):
                self.fields.problem(
                    item, "wrong-type", f"expected a measure, found {described(item)}", "measures: [2 scoops = 60 g]"
                )
                continue
            found = self.measure(item)
            if found is not None:
                count, name, grams = found
                self.line(lines, food_id, singular(name, count), grams / count, item)
        return serving, list(lines.values())

    def line(self, lines: dict[str, MeasureLine], food_id: str, name: str, grams: float, node: Scalar) -> None:
        place = self.fields.place(node)
        known = lines.setdefault(name.lower(), MeasureLine(food_id, name, round(grams, 6), "the pack", place))
        if abs(known.grams - grams) > 0.01 * grams:
            self.log.error(
                place,
                "duplicate-measure",
                f"expected one weight of '{name}', found {known.grams:g} g and {grams:g} g",
                "keep one of the two",
            )

    def measure(self, node: Scalar) -> tuple[float, str, float] | None:
        try:
            count, name, weight = measure(node.text)
            grams = parse_grams(weight)
        except Trouble as trouble:
            self.log.add(trouble.at(self.fields.place(node)))
            return None
        if not count > 0:
            self.fields.problem(
                node, "bad-measure", f"expected a count above 0, found {described(node)}", "1 bar = 35 g"
            )
            return None
        return count, name, grams

    def weight(self, node: Scalar) -> tuple[float, str, float] | None:
        try:
            return 1.0, "", parse_grams(node.text)
        except Trouble as trouble:
            self.log.add(
                Trouble(trouble.code, trouble.message, "write 30 g, or 2 scoops = 60 g").at(self.fields.place(node))
            )
            return None

    def pack(self, food_id: str, drained: bool, known: list[MeasureLine]) -> list[MeasureLine]:
        """The measure 'pack', of the drained food or of all that is in it; none where that is not said."""
        grams = self.extra.get("drained_g" if drained else "pack_g")
        if grams is None or any(line.measure.lower() == "pack" for line in known):
            return []
        node = self.fields.node("drained" if drained else "pack") or self.fields.mapping
        return [MeasureLine(food_id, "pack", float(grams), "the pack", self.fields.place(node))]

    def sizes(self, density: float | None) -> None:
        """What the pack holds, and what is left without the liquid."""
        node = self.fields.scalar("drained", "a weight")
        whole: float | None = None
        if node is not None:
            left, _, of = node.text.partition(" of ")
            try:
                drained = parse_grams(left)
                self.extra["drained_g"] = f"{drained:g}"
                if of.strip():
                    whole = parse_grams(of)
                    self.extra["pack_g"] = f"{whole:g}"
            except Trouble as trouble:
                hint = "write drained: 240 g of 400 g"
                self.log.add(Trouble(trouble.code, trouble.message, hint).at(self.fields.place(node)))
                return
            if whole is not None and drained > whole:
                self.fields.problem(
                    node,
                    "part-above-whole",
                    f"expected a drained weight within the pack's, found {described(node)}",
                    "drained: 240 g of 400 g",
                )
        pack = self.fields.scalar("pack", "a weight")
        if pack is None:
            return
        volume = _VOLUME.fullmatch(pack.text.strip())
        try:
            if volume is None:
                self.extra["pack_g"] = f"{parse_grams(pack.text):g}"
            elif density is not None:
                grams = float(volume[1].replace(",", ".")) * _ML[volume[2].lower()] * density
                self.extra["pack_g"] = f"{grams:.6g}"
            else:
                raise Trouble("missing-density", f"expected a density for {pack.text}, found none", "density: 1.03")
        except Trouble as trouble:
            self.log.add(trouble.at(self.fields.place(pack)))
