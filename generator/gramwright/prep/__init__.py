"""Plans: day totals, shopping, keeping, schedule. May import every earlier room; imported by site and publishing.

A plan page (`reading.plans`, model.PlanPage) goes

    plates.lay(plan, recipes, log) -> Plates | None     every serving with its dish and label; what is cooked, when
        .plates   one serving each: its Variant (dish and label with the chosen swaps and toppings)
        .batches  what is cooked together: (session or fresh day, recipe), portions, who eats them when
    totals.day_totals(plates) -> tuple[DayTotal, ...]    per person and day: figures with range and coverage, targets
    mend.smallest(plates, total) -> Mend | None          the smallest change that meets a missed target
    shopping.shopping(plates, stock, language, log, packs) -> Shopping
    keeping.keep(plates, rules, log) -> tuple[Kept, ...] fridge or freezer, use-by, thaw, labels
    prices.costs(plates, shopping) -> Costs | None
    made.make(plan, recipes, stock, language, log, scheduler, packs) -> PlanMade | None     all of it
    made.plan_findings(made) -> tuple[Finding, ...]      missed targets, for reports of changes

and the schedule, made from the steps of a session's batches:

    cooking.session_batches(plates, session, recipes) -> tuple[steps.Batch, ...]
    schedule.schedule(batches, gear, log) -> Schedule | None
        schedule_network (the problem), schedule_bounds -> schedule_rule (priority rules),
        solver (CP-SAT, an optional extra)
    schedule_spoken.calls(schedule) -> tuple[Call, ...]  the order as somebody would read it out
    calendar.write(name, events, stamp) -> bytes         iCalendar (RFC 5545)

and, for one recipe,

    alone.alone(dish, log) -> Alone                       its own timeline, in a usual kitchen
    tune.tune(recipes, slug, targets, asked) -> Tuned    the smallest change of its rows that meets targets
        tune_rows (which rows may move) -> tune_solve (HiGHS, an optional extra); figures by the engine

`recipes.Recipes` is how prep asks for recipes: publishing gives one over its
cookbook. Everything is computed from the plan's and the hub's content alone;
the day of the build is never looked at.
"""
