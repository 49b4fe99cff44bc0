"""Plans: day totals, shopping, keeping, schedule. May import every earlier room; imported by site and publishing.

A plan page (`reading.plans`, model.PlanPage) goes

    plates.lay(plan, recipes, log) -> Plates | None     every serving with its dish and label; what is cooked, when
        .plates   one serving each: its Variant (dish and label with the chosen swaps and toppings)
        .batches  what is cooked together: (session or fresh day, recipe), portions, who eats them when
    totals.day_totals(plates) -> tuple[DayTotal, ...]    per person and day: figures with range and coverage, targets
    mend.smallest(plates, total) -> Mend | None          the smallest change that meets a missed target
    shopping.shopping(plates, pantry, aisles, log) -> Shopping
    keeping.keep(plates, rules, log) -> tuple[Kept, ...] fridge or freezer, use-by, thaw, labels
    prices.costs(plates, shopping) -> Costs
    made.make(plan, recipes, rules, pantry, log) -> PlanMade | None      all of it

and the schedule, which reads the method's steps and the same batches:

    schedule.schedule(plan, batches, log) -> Schedule    (schedule*.py, steps*.py)

`recipes.Recipes` is how prep asks for recipes: publishing gives one over its
cookbook. Everything is computed from the plan's and the hub's content alone;
the day of the build is never looked at.
"""
