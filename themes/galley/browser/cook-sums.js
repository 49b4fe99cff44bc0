// A reader's choice added up. Takes the page's ledgers and a choice, gives the same figures as the generator.
"use strict";
((cook) => {
  const COMPLETE = 1 - 1e-9;
  const KJ_PER_KCAL = 4.184;
  const SALT = 0.0025;
  const LEFT_OUT = -1;

  const written = (pick) => (pick[1] ? LEFT_OUT : 0);

  // Ledgers of the choice, in the rows' order after the fixed ones. `choice`: ingredient index -> option.
  function taken(data, choice) {
    const parts = [["", data.f]];
    for (const pick of data.pick) {
      const option = choice[pick[0]] ?? written(pick);
      if (option !== LEFT_OUT) parts.push([`${pick[0]}.${option}`, data.l[`${pick[0]}.${option}`]]);
    }
    return parts;
  }

  function figure(amount, low, high, coverage) {
    return { amount, low, high, coverage };
  }

  // Energy by one method: ledger field `at` ('e' or 'b'), and which of a tangled way's two spreads.
  function spread(data, parts, choice, at, way) {
    let [amount, lower2, upper2, low, high, covered, share] = [0, 0, 0, 0, 0, 0, 0];
    for (const [, part] of parts) {
      share += part.g;
      if (!part[at]) continue;
      amount += part[at][0];
      covered += part[at][5] ?? part.g;
    }
    const tangled = new Set(data.tangled.map(String));
    let known = true;
    const widths = parts.filter(([key]) => !tangled.size || (key && !tangled.has(key.split(".")[0])));
    const all = widths.map(([, part]) => part[at] ?? [0, 0, 0, 0, 0]);
    if (tangled.size) {
      const key = data.tangled.map((row) => choice[row] ?? written(data.pick.find((pick) => pick[0] === row))).join();
      known = data.ways !== null;
      if (known) all.push(data.ways[key][way]);
    }
    for (const each of all) {
      lower2 += each[1];
      upper2 += each[2];
      low += each[3];
      high += each[4];
    }
    let coverage = share > 0 ? Math.min(1, covered / share) : 1;
    if (coverage > 1 - 1e-12) coverage = 1;
    const least = amount - Math.sqrt(lower2) - low;
    const made = figure(amount, Math.min(amount, Math.max(0, least)), amount + Math.sqrt(upper2) + high, coverage);
    made.ranged = known;
    return coverage > 0 ? made : null;
  }

  const times = (found, by) => found && { ...found, amount: found.amount * by, low: found.low * by, high: found.high * by };

  // How much is left of a batch whose rows changed: see nutrition/variants.py.
  function finished(data, raw) {
    const [grams, by, before] = data.fin;
    if (grams === null) return [null, "unknown"];
    const share = grams * (raw / before);
    if (raw === before) return [grams, by];
    if (by !== "measured") return [share, by];
    const change = grams + (raw - before);
    return [change < 0.2 * raw ? share : change, "factor"];
  }

  function sums(page, choice) {
    const data = page.o;
    const rules = cook.rules;
    const parts = taken(data, choice);
    const changed = data.pick.some((pick) => (choice[pick[0]] ?? written(pick)) !== written(pick));
    const raw = changed ? parts.reduce((sum, [, part]) => sum + part.g, 0) : data.fin[2];
    const totals = {};
    data.tags.forEach((tag, at) => {
      let [amount, unknown, known] = [0, 0, false];
      for (const [, part] of parts) {
        if (!part.a) continue;
        if (part.a[at] === null) unknown += part.g;
        else {
          known = true;
          amount += part.a[at];
          unknown += part.n?.[at] ?? 0;
        }
      }
      if (known) totals[tag] = figure(amount, 0, 0, unknown ? Math.max(0, 1 - unknown / raw) : 1);
    });
    const factorKcal = spread(data, parts, choice, "e", 0);
    const factorKj = factorKcal && figure(0, 0, 0, factorKcal.coverage);
    if (factorKj) for (const [, part] of parts) factorKj.amount += part.j ?? 0;
    const tableKj = spread(data, parts, choice, "b", 1);
    const byTable =
      tableKj &&
      (!factorKj ||
        rules.by === "table" ||
        (factorKj.coverage < COMPLETE && tableKj.coverage > factorKj.coverage + (1 - COMPLETE)));
    const kcal = byTable ? times(tableKj, 1 / KJ_PER_KCAL) : factorKcal;
    const batch = { ENERC_kJ: byTable ? tableKj : factorKj, ENERC_kcal: kcal };
    for (const [tag, each] of Object.entries(totals)) if (each.coverage > 0) batch[tag] = each;
    if (batch.NA_mg) batch.SALT_g = times(batch.NA_mg, SALT);
    const [done, doneBy] = finished(data, raw);
    const basis = done ?? raw;
    const scaled = (by) =>
      Object.fromEntries(Object.entries(batch).filter(([, each]) => each).map(([tag, each]) => [tag, times(each, by)]));
    return {
      changed,
      parts,
      toTaste: parts.some(([, part]) => part.salted) ? rules.salted : [],
      totals,
      by: byTable ? "table" : "factors",
      factors: [factorKj, factorKcal],
      portions: page.n,
      portion: done === null ? null : done / page.n,
      basis,
      doneBy,
      perPortion: scaled(1 / page.n),
      per100: scaled(100 / basis),
      ranged: kcal?.ranged ?? false,
    };
  }

  cook.sums = { sums, written, LEFT_OUT, COMPLETE, KJ_PER_KCAL };
})((globalThis.GramwrightCook ??= {}));
