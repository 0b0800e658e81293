package stock

// Holdings is the whole table of HoldingOf.
var Holdings = holdings
