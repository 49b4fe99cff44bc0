"""The build: reads a hub, computes, writes pages, swaps the site in whole, reports. May import every room but cli."""
