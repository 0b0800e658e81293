package stock

import (
	"slices"

	"brothrun/stock/quantity"
	"brothrun/stock/settle"
)

// Counted is how many of something some runs take, and how many there are.
type Counted struct {
	Name   string // "quart", or the mouth of a lid
	Wanted int
	OnHand int // below 0: nobody counted
}

// Short is how many there are too few; 0 where nobody counted.
func (c Counted) Short() int {
	if c.OnHand < 0 {
		return 0
	}
	return max(0, c.Wanted-c.OnHand)
}

// counted adds to a list by name.
func counted(all []Counted, name string, wanted int, onHand func() int) []Counted {
	i := slices.IndexFunc(all, func(c Counted) bool { return c.Name == name })
	if i < 0 {
		i, all = len(all), append(all, Counted{Name: name, OnHand: onHand()})
	}
	all[i].Wanted += wanted
	return all
}

// JarsOfAll is the jars that batches of one kitchen wash, by size; none is emptied between
// them.
func JarsOfAll(house settle.House, batches []Batch) (all []Counted) {
	for _, b := range batches {
		for _, j := range b.Jars {
			all = counted(all, j.Jar, j.Wash, func() int {
				if n, is := house.Shelf.Count(j.Jar); is {
					return n
				}
				return -1
			})
		}
	}
	return all
}

// LidsOfAll is the new lids that batches of one kitchen take, by mouth.
func LidsOfAll(house settle.House, batches []Batch) (all []Counted) {
	for _, mouth := range []string{"regular", "wide"} {
		for _, b := range batches {
			if n := b.Lids()[mouth]; n > 0 {
				all = counted(all, mouth, n, func() int {
					if n, is := house.Lids[mouth]; is {
						return n
					}
					return -1
				})
			}
		}
	}
	return all
}

// FuelOfAll is what the heat of batches takes in.
func FuelOfAll(batches []Batch) (all quantity.Band[quantity.Energy]) {
	for _, b := range batches {
		all = all.Plus(b.Fuel.Pot).Plus(b.Fuel.Reheat).Plus(b.FuelOfLoads())
	}
	return all
}
