"""What a recipe page carries for cooking from it and changing it. Takes a dish, gives data for the page's script.

The script adds up what this room hands it and applies the rule set's own rules,
so that a reader's choice has the engine's figures to the last declared digit:

    rules                  two files a site: rounding, lines, factors, claims, cautions (cook-rules.js), words
    ledgers                what the rows without a choice hold, and each option by itself; sums of these are exact
    kitchen                how each row was measured, so that it can be scaled and said in other measures
    changes                every single change as a small table, for pages without a script
    timers                 times in the method as <time> elements
    Bench                  all of it for one recipe

Amounts add up over any rows; ranges add up over rows that share no food. Rows
that do share one are put together with the rest, once for each way to choose
among them (`MOST_WAYS` at most; past that a changed recipe shows no range).
Claims are weighed by the script with the conditions of the rule set: nothing
is embedded per combination, so their number does not matter.
"""
