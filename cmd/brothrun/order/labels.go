package order

import (
	"fmt"

	"brothrun/export/words"
	"brothrun/stock/fault"
	"brothrun/stock/quantity"
	"brothrun/timeline"
)

// mostBoxes is how many boxes one run may take.
const mostBoxes = 200

// Labels are those of the jars of a run, and of so many freezer boxes, 0 to 200: 0 is as
// many as hold a quart, or a litre, each. What is refused or spoilt is not labelled: that
// there is no label is an error, ErrRefused among its causes.
func (d Day) Labels(boxes int) ([]timeline.Label, error) {
	if boxes < 0 || boxes > mostBoxes {
		return nil, fault.New("boxes", "count the boxes", "--boxes %d: must be 0 to %d", boxes, mostBoxes)
	}
	b := d.Plan.Batch
	box := quantity.Quart
	if b.Units == quantity.Metric {
		box = quantity.Litre
	}
	labels := d.Plan.Labels(box, boxes)
	switch {
	case len(labels) > 0:
		return labels, nil
	case len(b.Refusals) > 0:
		why := words.Note(b.Refusals[0], words.Form{Units: b.Units})
		return nil, fmt.Errorf("%s: nothing to label: %s\n%w", d.RunFile, why, ErrRefused)
	}
	return nil, fmt.Errorf("%s: nothing to label: no jar, box or powder comes of it", d.RunFile)
}
