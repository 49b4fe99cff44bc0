"""Plans: day totals, shopping, schedule, storage. May import every earlier room."""
