// Package words holds the sentences a cook reads. The rooms that compute hand over
// codes and facts; what is said of them, in which units, and whether the flags that
// would change it are named, is settled here and nowhere else.
//
// A sentence is a format as fmt knows it. Its verbs write facts:
//
//	%v  a quantity in both systems of units, a span, a date with its time, a count,
//	    a clause
//	%s  a quantity in the cook's system alone, a name
//	%a  a height above the sea in both systems, %A in the cook's alone
//
// What stands in braces is for who can type a flag: "{ (--simmer)}".
package words

import (
	"fmt"
	"regexp"
	"strings"
	"sync"
	"time"
	"unicode"
	"unicode/utf8"

	"brothrun/stock"
	"brothrun/stock/ask"
	"brothrun/stock/chill"
	"brothrun/stock/quantity"
	"brothrun/stock/record"
	"brothrun/stock/remark"
	"brothrun/stock/runfile"
	"brothrun/timeline"
)

// Form says for whom something is worded.
type Form struct {
	Units quantity.System
	Flags bool // the flags that would change it are named
}

// clock is how a time of day within a week is written, day how a date is.
const (
	clock = "Mon 15:04"
	day   = "Mon 2 Jan"
)

// say writes facts into a sentence.
func (f Form) say(sentence string, facts ...any) string {
	shown := make([]any, len(facts))
	for i, value := range facts {
		shown[i] = fact{value, f}
	}
	return f.Order(fmt.Sprintf(f.flags(sentence), shown...))
}

// usFirst is a quantity in both systems of units, the US one first. It is made when a
// metric kitchen first needs it.
var usFirst = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`(-?[\d.,]+(?: (?:to|by) -?[\d.,]+)?) (°F|ft|in|lb|oz|fl oz|qt|cups?|psi) ` +
		`\((-?[\d.,]+(?: (?:to|by) -?[\d.,]+)?) (°C|mm|cm|m|g|kg|ml|l|kPa)\)`)
})

// Order puts the cook's system of units first in a sentence that comes as it is:
// "21 °C (70 °F)" for "70 °F (21 °C)" in a metric kitchen.
func (f Form) Order(sentence string) string {
	if f.Units != quantity.Metric {
		return sentence
	}
	return usFirst().ReplaceAllString(sentence, "$3 $4 ($1 $2)")
}

// potFirst says of which pot a sentence is: "Roaster: the ...".
func potFirst(pot, sentence string) string {
	return capital(pot) + ": " + sentence
}

func capital(text string) string {
	first, size := utf8.DecodeRuneInString(text)
	return string(unicode.ToUpper(first)) + text[size:]
}

// flags keeps what stands in braces, or leaves it out.
func (f Form) flags(sentence string) string {
	for {
		before, rest, open := strings.Cut(sentence, "{")
		within, after, closed := strings.Cut(rest, "}")
		if !open || !closed {
			return sentence
		}
		if !f.Flags {
			within = strings.Repeat("%.0s", strings.Count(within, "%")) // its facts go with it
		}
		sentence = before + within + after
	}
}

// flag writes a flag with what it is given; nothing for who cannot type it.
func (f Form) flag(sentence string, facts ...any) string {
	if !f.Flags {
		return ""
	}
	return f.say(sentence, facts...)
}

// fact writes one value by the verbs of the package comment.
type fact struct {
	value any
	form  Form
}

// unitful is a quantity that both systems of units can say.
type unitful interface {
	Format(quantity.System) string
	Both(quantity.System) string
}

func (f fact) Format(w fmt.State, verb rune) {
	if precision, limited := w.Precision(); verb == 's' && limited && precision == 0 {
		return
	}
	switch value := f.value.(type) {
	case quantity.Length:
		switch verb {
		case 'a':
			fmt.Fprint(w, quantity.AltitudeBoth(value, f.form.Units))
		case 'A':
			fmt.Fprint(w, quantity.FormatAltitude(value, f.form.Units))
		case 's':
			fmt.Fprint(w, value.Format(f.form.Units))
		default:
			fmt.Fprint(w, value.Both(f.form.Units))
		}
	case unitful:
		if verb == 's' {
			fmt.Fprint(w, value.Format(f.form.Units))
		} else {
			fmt.Fprint(w, value.Both(f.form.Units))
		}
	case time.Duration:
		fmt.Fprint(w, quantity.FormatDuration(value))
	case quantity.Band[time.Duration]:
		fmt.Fprint(w, quantity.FormatSpan(value))
	case quantity.Band[quantity.Volume]:
		fmt.Fprint(w, quantity.Ends(value.Low.Format(f.form.Units), "to", value.High.Format(f.form.Units)))
	case quantity.Band[quantity.Mass]:
		fmt.Fprint(w, quantity.SpanBoth(value, f.form.Units))
	case quantity.Band[quantity.Length]:
		fmt.Fprint(w, quantity.SpanBoth(value, f.form.Units))
	case time.Time:
		if verb == 's' {
			fmt.Fprint(w, value.Format(day))
		} else {
			fmt.Fprint(w, timeline.Clock(value, clock))
		}
	case quantity.Power:
		fmt.Fprintf(w, "%.0f BTU/h (%.1f kW)", value.BTUPerHour(), value.Kilowatts())
	case remark.Note:
		fmt.Fprint(w, Note(value, f.form))
	case stock.Load:
		fmt.Fprint(w, value.Contents())
	case stock.JarCount:
		fmt.Fprint(w, stock.CountJars(value.Count, value.Jar))
	case runfile.JarWish:
		fmt.Fprint(w, stock.CountJars(value.Limit, value.Jar))
	case []stock.JarCount:
		fmt.Fprint(w, jarsOf(value))
	case []record.JarCount:
		fmt.Fprint(w, jarsOf(value))
	case []stock.Load:
		fmt.Fprint(w, loadNames(value))
	case timeline.Part:
		fmt.Fprint(w, part(value))
	case timeline.Phase:
		fmt.Fprint(w, phases[value])
	case timeline.Why:
		fmt.Fprint(w, Why(value, f.form))
	case []string:
		fmt.Fprint(w, strings.Join(value, ", "))
	case chill.Method:
		if verb == 's' {
			fmt.Fprint(w, string(value))
		} else {
			fmt.Fprint(w, ask.ChillWords(value))
		}
	default:
		fmt.Fprintf(w, fmt.FormatString(w, verb), value)
	}
}
