package words

import (
	"brothrun/stock/canner"
	"brothrun/stock/quantity"
	"brothrun/timeline"
)

// Check says what a look is for: a title as Brief has it, the reading first, and what
// to do by it.
func Check(plan timeline.Plan, c timeline.Check, f Form) (title string, detail []string) {
	b := plan.Batch
	if c.Before() && plan.Planned != nil {
		b = *plan.Planned
	}
	b.Units = f.Units
	if c.Before() {
		return checkBefore(b, c, f)
	}
	wait, vent := canner.Published(false, 0).Wait.Likely, canner.Published(false, 0).Vent.Likely
	warm, cold := quantity.Fahrenheit(70), quantity.Fahrenheit(41)
	n := c.Load.Number
	switch c.Asks {
	case timeline.Below70F:
		counts := f.say("It counts 2 h from %v. Was it that hot for longer than planned? Look 2 h after that.",
			quantity.Fahrenheit(135))
		if c.Limit.IsZero() {
			return f.say("%s? If not: throw it away", warm), []string{counts,
				"It was reheated once; a second time is too late."}
		}
		return f.say("%s? If not: reheat to %s", warm, quantity.Fahrenheit(165)), []string{counts,
			f.say("Above %v: at once, by %v, back up to %v, and chilled again a faster way.", warm, c.Limit,
				quantity.Fahrenheit(165))}
	case timeline.Below41F:
		return f.say("%s? If not: throw it away", cold), []string{
			f.say("It counts 6 h from %v, and %v within the first 2. Was it that hot for longer than planned? Look 6 h "+
				"after that. Broth that missed a limit of the chill is thrown away.", quantity.Fahrenheit(135), warm)}
	case timeline.Bedtime:
		detail = []string{f.say("Broth and fridge at %v or below? If the fridge is warmer: colder, or ice round the pot.",
			cold)}
		if !c.Limit.IsZero() {
			detail = append(detail, f.say("The broth has until %v to get there. Not there yet? More ice now, or somebody "+
				"is up then.", c.Limit))
		}
		return f.say("%s? Look before bed", cold), detail
	case timeline.Lit:
		return f.say("Lid on? High heat, load %d", n), []string{"To a steady stream of steam from the vent."}
	case timeline.WeightOn:
		return f.say("Steam %v? Weight on: load %d", vent, n), []string{
			f.say("Steady steam for %v, not less? Then petcock closed or weight on.", vent)}
	case timeline.TimeStarts:
		at := b.Pressures(c.Load, quantity.Pressure.Stamped)
		if b.OtherGauge != nil {
			at = "At pressure"
		}
		return f.say("%s? Timer %v: load %d", at, c.Load.Process, n), []string{
			f.say("At %s or just above? The time starts only then: set a timer for %v. Below it, bring it back and start "+
				"the full time again.", b.Pressures(c.Load, quantity.Pressure.Both), c.Load.Process)}
	case timeline.HeatMayGoOff:
		return f.say("Held %v? Heat off? Load %d", c.Load.Process, n), []string{
			f.say("Heat off only when your timer says %v at pressure, and it was never below: not by this clock. Then let "+
				"it fall by itself.", c.Load.Process)}
	case timeline.GaugeAtZero:
		return f.say("Zero? Weight off, wait %v: %d", wait, n), []string{
			f.say("Pressure at zero by itself? Weight off, wait %v, then open, lid away from your face. Never force it.", wait)}
	}
	return c.ID, nil
}
