package timeline

import (
	"fmt"

	"brothrun/stock/quantity"
)

// why says what keeps step j of block i of a finding where it stands.
func (h *house) why(found finding, i, j int) string {
	b := found.row.blocks[i]
	t := b.tasks[j]
	if b.at[j] == 0 && j == 0 {
		o := found.at.why[i]
		if o.kind == ruled {
			return h.rule(found.row, o)
		}
		return h.met(o)
	}
	for _, r := range t.rules {
		for k, before := range b.tasks {
			if before.ID != r.after {
				continue
			}
			end := b.at[k] + r.least
			if !r.beside {
				end += before.Span.Likely
			}
			if end != b.at[j] {
				continue
			}
			switch {
			case r.beside && r.why != "":
				return r.why
			case r.why != "":
				return "right after " + before.name + ": " + r.why
			}
			return "right after " + before.name
		}
	}
	return ""
}

// rule says in words which rule between two blocks holds one of them.
func (h *house) rule(r row, o obstacle) string {
	const clock = "Mon 15:04"
	rule := o.bound.rule
	i, j, _ := r.find(rule.after)
	before := r.blocks[i].tasks[j].name
	switch {
	case o.bound.isLongest:
		return fmt.Sprintf("%s at most %s after %s: %s", o.bound.task, quantity.FormatDuration(rule.most), before, rule.why)
	case o.bound.from == i && rule.least > 0:
		return fmt.Sprintf("%s after %s: %s", quantity.FormatDuration(rule.least), before, rule.why)
	case o.bound.from == i:
		return "after " + before
	}
	return fmt.Sprintf("before %s at %s", o.bound.task, Clock(o.at.In(h.Location), clock))
}

// met says in words what an obstacle is.
func (h *house) met(o obstacle) string {
	const clock = "Mon 15:04"
	from, to := ClockSpan(o.span.From.In(h.Location), o.span.To.In(h.Location), clock, clock)
	span := from + " to " + to
	reason := ""
	switch o.kind {
	case asked:
		if o.first {
			return "the start you gave"
		}
		return "as early as the span you gave allows"
	case morning:
		return "at the time of day the run began, 10:00 at the latest"
	case deadline:
		return fmt.Sprintf("as late as an end by %s allows, were every step to run long", Clock(o.at.In(h.Location), clock))
	case asleep:
		reason = fmt.Sprintf("you are up %s", h.Awake)
	case away:
		reason = "you are out " + span
		if o.span.What != "" {
			reason += " (" + o.span.What + ")"
		}
	case shut:
		reason = fmt.Sprintf("the canner may run %s", h.CannerHours)
	case taken:
		whose := "the " + string(o.what.Resource) + " is taken"
		switch {
		case o.what.Resource == Cook:
			whose = "your hands are full"
		case o.what.Resource == Attention:
			whose = "a load is in the canner"
		case o.what.Resource == FreezeDryer:
			whose = "the freeze dryer is taken"
		case o.what.places > 1:
			whose = "the stove has no two places"
		}
		reason = whose + " " + span
		if o.span.What != "" {
			reason += " (" + o.span.What + ")"
		}
		if o.overnight {
			reason += ", and the broth stays in its pot to the last jar"
		}
	case ruled:
		return fmt.Sprintf("%s and what it follows leave no room for one another", o.bound.task)
	default:
		return ""
	}
	if !o.first && o.task.name != "" {
		return "so that " + o.task.name + " fits: " + reason
	}
	return reason
}
