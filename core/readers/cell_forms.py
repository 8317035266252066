"""How a spreadsheet held a cell. A CSV holds text alone."""

TEXT, NUMBER, DAY, TIME, FAULT = 0, 1, 2, 3, 4
