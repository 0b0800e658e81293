package answer

import (
	"crypto/sha256"
	"fmt"
	"io"
	"strings"

	"brothrun/cmd/brothrun/order"
	"brothrun/export"
	"brothrun/export/page"
	"brothrun/export/words"
	"brothrun/stock/fault"
)

func sum(parts ...[]byte) string {
	sum := sha256.New()
	for _, part := range parts {
		sum.Write(part)
	}
	return fmt.Sprintf("%x", sum.Sum(nil)[:9])
}

// day is what is on, with what is said of a press.
func (a *asked) day() error {
	day, err := a.today()
	if err != nil {
		return err
	}
	if len(day.Plan.Steps) == 0 {
		return fault.New("start", "say in the plan when it begins", "without a time there is no day of the run")
	}
	return a.show(day, page.Answer{})
}

func (a *asked) show(day order.Day, said page.Answer) error {
	name := a.Runs[0]
	site := page.Site{Title: words.Heading(day.Plan.Batch), Base: "day/" + name + "/", Zone: day.Plan.Location.String(), Buttons: true, Secure: true}
	run := page.Run{Plan: day.Plan, Planned: day.Planned, Key: sum([]byte(day.Plan.RunID)), Answer: said,
		Revision: fmt.Sprintf("%d-%s", len(day.Run.Notes), sum(a.Files[name], a.Files[kitchenFile]))}
	a.answer.Figures = map[string]string{"zone": site.Zone, "title": site.Title}
	var html strings.Builder
	err := page.Now(&html, site, page.See(run, a.Now))
	a.answer.HTML = html.String()
	return err
}

func (a *asked) timer() error {
	day, err := a.today()
	if err != nil {
		return err
	}
	return a.file("timer.ics", "text/calendar; charset=utf-8", func(w io.Writer) error { return export.Timer(w, day.Plan, a.Now) })
}

// press notes what a button says. What cannot be noted is said where the page says it, and
// has status 2.
func (a *asked) press() error {
	before, err := a.today()
	if err != nil {
		return err
	}
	refused := func(said string) error {
		a.answer.Status = order.Usage
		return a.show(before, page.Answer{Said: said, Refused: true})
	}
	press, err := order.ReadPress(func(name string) string { return a.Note[name] }, a.Now)
	if err != nil {
		return refused(words.Say("form"))
	}
	if of := a.Note["run"]; of != "" && of != sum([]byte(before.Plan.RunID)) {
		return refused(words.Say("other"))
	}
	if wrong := press.Unreadable(a.Now); wrong != nil {
		return refused(order.Told(wrong))
	}
	name := a.Runs[0]
	noted, err := press.Noting(order.Clock{Now: a.Now}).In(a.machine(), a.Files[name], name)
	if err != nil {
		return refused(order.Told(err))
	}
	if !noted.Known {
		a.Files[name] = noted.Data
		a.answer.Files = map[string][]byte{name: noted.Data}
	}
	after, err := a.today()
	if err != nil {
		return err
	}
	return a.show(after, page.Answer{Said: noted.Said(after)})
}
