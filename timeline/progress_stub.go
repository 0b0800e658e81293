package timeline

import (
	"time"

	"brothrun/stock"
	"brothrun/stock/canner"
	"brothrun/stock/record"
)

type Canning struct{}

func Can(load stock.Load, entries []record.Entry) Canning { return Canning{} }
func (Canning) Ends(c canner.Phases, from time.Time) (a, b, d time.Time) {
	t := c.Total()
	return from.Add(t.Low), from.Add(t.Likely), from.Add(t.High)
}
