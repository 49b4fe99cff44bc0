// What the law says of a choice: declaration, allergens, diets, claims, cautions. Takes sums, gives texts.
"use strict";
((cook) => {
  const { say } = cook;
  const { word } = say;
  const { COMPLETE, KJ_PER_KCAL } = cook.sums;

  function energyText(figures) {
    const { rules } = cook;
    const [kj, kcal] = [figures.ENERC_kJ, figures.ENERC_kcal];
    if (!kj || !kcal) return "";
    const shown = (of) =>
      rules.energy.shown
        .replace("{kJ}", () => say.rounded(rules.round.ENERC_kJ, of ? kj.amount : 0)[1])
        .replace("{kcal}", () => say.rounded(rules.round.ENERC_kcal, of ? kcal.amount : 0)[1]);
    return shown(true).startsWith("<") && kj.coverage < COMPLETE ? shown(false) : shown(true);
  }

  // A figure of which only a part is known is never said to be below anything.
  const isLeast = (tag, figure, toTaste) => figure.coverage < COMPLETE || toTaste.includes(tag);

  function texts(lines, figures, toTaste) {
    const made = [];
    let parent = null;
    lines.forEach(([, tag, level], place) => {
      if (!tag) return made.push(energyText(figures));
      const figure = figures[tag];
      if (!figure) {
        made.push("");
        if (level === 0) parent = null;
        return;
      }
      const rounder = cook.rules.round[tag];
      const [value, text] = say.rounded(rounder, figure.amount);
      made.push(text.startsWith("<") && isLeast(tag, figure, toTaste) ? rounder.zero : text);
      if (level === 0) parent = [place, value, rounder, figure.amount];
      else if (parent && value > parent[1] && figure.amount <= parent[3]) {
        made[parent[0]] = say.atStepOf(parent[2], figure.amount, parent[3]);
        parent[1] = value;
      }
    });
    return made;
  }

  // The declaration's lines: {key, level, per100, portion, share, least, taste, coverage}.
  function declaration({ perPortion, per100, toTaste }) {
    const { rules } = cook;
    const listed = ([, tag, , when]) => {
      if (when === "always") return true;
      if (!perPortion[tag]) return false;
      if (when === "known") return true;
      if (when === "present") return perPortion[tag].amount > 0;
      const amounts = rules.significance?.[1] === "portion" ? perPortion : per100;
      return Boolean(rules.significance && rules.reference[tag] && amounts[tag]) &&
        amounts[tag].amount >= rules.significance[0] * rules.reference[tag];
    };
    const lines = rules.lines.filter(listed);
    const [portion, hundred] = [texts(lines, perPortion, toTaste), texts(lines, per100, toTaste)];
    return lines.map(([key, own, level], at) => {
      const tag = own || (rules.energy.primary === "kJ" ? "ENERC_kJ" : "ENERC_kcal");
      const figure = perPortion[tag];
      const reference = rules.reference[tag];
      const rounder = rules.shares[key] ?? rules.shares["*"];
      const least = Boolean(figure) && isLeast(tag, figure, toTaste);
      const share = figure && reference && rounder ? say.rounded(rounder, (100 * figure.amount) / reference)[1] : "";
      return {
        key,
        level,
        per100: hundred[at],
        portion: portion[at],
        share: least && share.startsWith("<") ? "" : share,
        least,
        taste: Boolean(figure) && toTaste.includes(tag),
        coverage: perPortion[own || "ENERC_kcal"]?.coverage ?? 0,
      };
    });
  }

  // What "at least" stands for: {least: lines known in part, taste: lines without what is salted to taste}; "" for none.
  function atLeast(lines) {
    const name = ({ key }) => word(`lines.${key}`);
    const gaps = lines.filter((line) => line.least && line.coverage < COMPLETE);
    const told = gaps.map((line) => word("doubt.coverage_line", { name: name(line), share: say.percent(Math.min(line.coverage, 0.99)) }));
    const taste = lines.filter((line) => line.taste).map(name);
    return {
      least: told.length ? word("doubt.coverage", { lines: told.join(", ") }) : "",
      taste: taste.length ? word("declaration.to_taste", { lines: taste.join(", ") }) : "",
    };
  }

  // ---------------------------------------------------------------- allergens, diets

  // What every counted row's foods say, in the order of the rows.
  function heard(data, parts) {
    const keys = new Set(parts.map(([key]) => key));
    return Object.entries(data.said)
      .filter(([key]) => !key.includes(".") || keys.has(key))
      .sort((a, b) => parseFloat(a[0]) - parseFloat(b[0]) || 0)
      .flatMap(([, foods]) => foods);
  }

  function allergens(data, parts) {
    const foods = heard(data, parts);
    const found = { contains: [], may_contain: [], unknown: [], unknownFoods: [], excepted: [] };
    cook.rules.allergens.forEach(([id, word], at) => {
      const letter = String.fromCharCode(48 + at);
      const by = (place) => [...new Set(foods.filter((food) => food[place].includes(letter)).map((food) => food[0]))];
      const [has, may, not] = [by(1), by(2), by(3)];
      if (has.length) return found.contains.push({ id, word, foods: has.join(", ") });
      if (may.length) found.may_contain.push({ id, word, foods: may.join(", ") });
      if (not.length) found.unknown.push({ id, word });
      if (not.length && !may.length) found.unknownFoods.push(...not);
    });
    found.unknownFoods = [...new Set(found.unknownFoods)];
    found.excepted = [...new Set(foods.flatMap((food) => food[4] ?? []))];
    return found;
  }

  const worst = (letters) => (letters.includes("n") ? false : letters.includes("?") ? null : true);
  const column = (parts, field, at) => worst(parts.map(([, part]) => part[field]?.[at] ?? "").join(""));
  const diets = (parts) => cook.rules.diets.map((diet, at) => [diet, column(parts, "d", at)]);

  // ---------------------------------------------------------------- claims: see labelling/claim_judge.py

  function passes(atLeast, strict, value, limit) {
    if (Math.abs(value - limit) <= 1e-12 * Math.abs(limit)) return !strict;
    return atLeast ? value > limit : value < limit;
  }

  function judge(page, made) {
    const { rules } = cook;
    const { liquid } = page.o.page;
    const { totals, portions, basis, parts, portion, doneBy } = made;
    const main = rules.main_dish !== null && portion !== null && portion >= rules.main_dish;
    const weighed = doneBy === "measured" || doneBy === "factor";
    const [kj, kcal] = made.factors;
    const whole = kcal && kcal.coverage >= COMPLETE && kj.amount > 0 && kcal.amount > 0;
    const scales = { "100 g": 100 / basis, "50 g": 50 / basis, portion: 1 / portions };
    const taste = parts.map(([, part]) => part.taste).filter(Boolean);
    const get = (tag) => (tag === "ENERC_kJ" ? kj : tag === "ENERC_kcal" ? kcal : totals[tag]);
    const sum = (tags) => {
      const found = tags.map(get);
      return [
        found.reduce((amount, each) => amount + (each?.amount ?? 0), 0),
        found.some(Boolean),
        found.every((each) => each && each.coverage >= COMPLETE),
      ];
    };
    const term = (tag) =>
      rules.energy.terms.find((each) => each[1] === tag) ?? rules.energy.terms.find((each) => each[0] === "fat");

    function ratio([base, tags, atLeast, limit, strict]) {
      const [amount, known, complete] = sum(tags);
      let value;
      if (base === "fatty acids") {
        const all = sum(["FASAT_g", "FAMS_g", "FAPU_g"]);
        if (!(complete && all[2]) || all[0] <= 0) return [null];
        value = amount / all[0];
      } else {
        if (!known || !complete || !whole) return [null];
        if (base === "100 kcal") value = (100 * amount) / kcal.amount;
        else {
          const by = (place, energy) => tags.reduce((total, tag) => total + sum([tag])[0] * term(tag)[place], 0) / energy;
          const shares = [by(3, kj.amount), by(4, kcal.amount)];
          value = atLeast ? Math.min(...shares) : Math.max(...shares);
        }
      }
      return [passes(atLeast, strict, value, limit), value, limit];
    }

    // [holds, value, limit] of a condition.
    function read(condition) {
      const [base, tags, atLeast, solid, strict, drink] = condition;
      const scale = scales[base];
      if (scale === undefined) return ratio(condition);
      const perWeight = base !== "portion";
      const limit = liquid && perWeight ? drink : solid;
      const [amount, known, complete] = sum(tags);
      if (!known) return [null];
      const value = amount * scale;
      let holds = passes(atLeast, strict, value, limit);
      if (liquid && perWeight) {
        const [thin, thick] = rules.density.map((density) => passes(atLeast, strict, value * density, limit));
        if (thin !== thick) return [null];
        holds = thin;
      }
      if (!complete && holds !== atLeast) return [null];
      if (perWeight && !weighed) return [null];
      if (holds && !atLeast && taste.length) {
        if (tags.some((tag) => taste.some((each) => each[tag] === undefined))) return [null];
        const extra = taste.reduce((all, each) => all + tags.reduce((more, tag) => more + each[tag], 0), 0);
        if (!passes(atLeast, strict, value + extra * portions * scale, limit)) return [null];
      }
      return [holds, value, limit];
    }

    function row(kind) {
      if (kind === "no added sugars") return column(parts, "v", 0);
      if (kind === "no added salt") return column(parts, "v", 1);
      if (kind === "liquid") return liquid;
      return kind === "not listed" ? false : null;
    }

    // How a claim holds, in words; null where it does not.
    function holds(claim) {
      for (const [conditions, rows] of main && claim.main ? claim.main : claim.cases) {
        const readings = conditions.map(read);
        if (!readings.every((reading) => reading[0]) || !rows.every((kind) => row(kind))) continue;
        const said = readings.map(([, value, limit], at) => sentence(conditions[at], value, limit));
        return [...new Set([...said, ...rows.map((kind) => rules.say.rows[kind])])].join(rules.say.and);
      }
      return null;
    }
    return holds;
  }

  function sentence([base, tags, , solid, , , said, rule, drinkRule], value, limit) {
    const share = base === "energy" || base === "fatty acids";
    const unit = share ? "%" : tags[0].split("_").pop().replace("ug", "µg");
    const text = share ? told(100 * value, Number((100 * limit).toFixed(9))) : told(value, limit);
    const { of, decimal } = cook.rules.say;
    const slots = { amount: `${text.replace(".", decimal)} ${unit}`, said, rule: limit === solid ? rule : drinkRule };
    return say.fill(of, slots);
  }

  // A number with as many decimals as it takes to tell it from the limit.
  function told(value, limit) {
    let places = value >= 10 && limit >= 10 ? 0 : value >= 0.1 || !value ? 1 : 3;
    let text = say.fixed(value, places);
    if (Number(text) === limit && Math.abs(value - limit) > 1e-12 * limit)
      while (places < 7 && Number(text) === limit) text = say.fixed(value, (places += 1));
    return places ? text.replace(/0+$/, "").replace(/\.$/, "") : text;
  }

  // The claims that hold, with their arithmetic: those the author asks for first.
  function claims(page, made) {
    const { rules } = cook;
    const holds = judge(page, made);
    const asked = page.o.page.asked;
    const found = rules.claims
      .filter((claim) => !claim.each || asked.includes(claim.name) || made.totals[claim.each])
      .map((claim) => [claim, holds(claim)])
      .filter(([, text]) => text !== null);
    const needless = new Set(found.flatMap(([claim]) => claim.weaker ?? []));
    const first = asked.map((name) => found.find(([claim]) => claim.name === name)).filter(Boolean);
    const rest = found.filter(([claim]) => !asked.includes(claim.name) && !needless.has(claim.name));
    const beside = ({ beside: said }) => {
      const figure = said && made.totals[said[1]];
      return said && !(figure && figure.coverage >= COMPLETE && figure.amount <= 0) ? [said[0]] : [];
    };
    const name = (claim) => [claim.shown ?? claim.name, ...beside(claim)].join(word("list.comma"));
    return [...first, ...rest].map(([claim, text]) => ({ name: name(claim), text: say.joined(text) }));
  }

  // ---------------------------------------------------------------- cautions

  function cautions(page, made) {
    const own = page.o.page;
    const fitting = new Set(made.parts.flatMap(([, part]) => part.m ?? []));
    const over = (figures) => ([tag, limit]) => figures[tag] && figures[tag].amount > limit;
    const applies = (rule, number) =>
      !rule.when.length ||
      rule.when.some(
        ([foods, portion, hundred, asks], place) =>
          (!foods.length || foods.some((food) => fitting.has(food))) &&
          portion.every(over(made.perPortion)) &&
          hundred.every(over(made.per100)) &&
          (!asks || own.holds.includes(`${number}.${place}`)),
      );
    return cook.rules.cautions
      .filter((rule, number) => own.cautions.includes(rule.id) || applies(rule, number))
      .map(({ id, name, text, lang, source }) => {
        const reason = own.silenced[id];
        if (reason) return { id, text: say.word("recipe.silenced", { name, reason }), lang: "", source };
        return { id, text: filled(text, page, made), lang, source };
      });
  }

  function filled(text, page, made) {
    const [about, least, less, point] = cook.rules.about;
    const number = (of) => say.fixed(of, 1).replace(/\.0$/, "").replace(".", point);
    const little = (of) => say.fixed(of, 2).replace(/\.?0+$/, "").replace(".", point);
    const amount = ({ amount: of, coverage }) =>
      of >= 0 && of < 0.1
        ? coverage < 1 ? say.fill(least, { n: little(of) }) : say.fill(less, { n: number(0.1) })
        : say.fill(coverage >= 1 ? about : least, { n: number(of) });
    return text.replace(/\{(\w+)\}/g, (_, name) => {
      if (name === "fridge_days") return page.o.page.fridge || "?";
      const figure = (name === "POLYL_g" ? made.per100 : made.perPortion)[name];
      return figure ? amount(figure) : "?";
    });
  }

  // The rows that make the energy uncertain; none where the fixed rows' shares are not known by this method.
  function doubts(page, made) {
    const data = page.o;
    if (made.by !== data.by) return [];
    const table = made.by === "table";
    const rows = data.doubt.map(([at, half, name]) => [half, at, name]);
    for (const [key, part] of made.parts.slice(1)) {
      const found = part[table ? "b" : "e"];
      if (!found) continue;
      const [amount, lower2, upper2, low, high] = found;
      const least = Math.min(amount, Math.max(0, amount - Math.sqrt(lower2) - low));
      const half = (amount + Math.sqrt(upper2) + high - least) / 2 / made.portions;
      rows.push([table ? half / KJ_PER_KCAL : half, parseInt(key, 10), data.names[key][1]]);
    }
    return rows
      .filter(([half]) => half > 0)
      .sort((a, b) => b[0] - a[0] || a[1] - b[1])
      .slice(0, 3)
      .filter(([half]) => half >= 0.5)
      .map(([half, , name]) => say.word("doubt.row", { name, kcal: say.number(half) }));
  }

  cook.label = { declaration, atLeast, allergens, diets, claims, cautions, doubts };
})((globalThis.GramwrightCook ??= {}));
