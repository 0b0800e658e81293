package settle

import (
	"fmt"
	"maps"
	"strings"

	"brothrun/stock/canner"
	"brothrun/stock/chill"
	"brothrun/stock/fault"
	"brothrun/stock/jar"
	"brothrun/stock/process"
	"brothrun/stock/quantity"
	"brothrun/stock/runfile"
)

// jarGlass is the two walls of a jar together: 7 mm, 5 to 9, from memory.
const jarGlass = 7 * quantity.Millimetre

// Shelf is the jars of a kitchen: those the cook measured, and how many there are.
type Shelf struct {
	own    []runfile.OwnJar
	onHand map[string]int
}

// Measured returns the cook's own jar of a name and its place among them.
func (s Shelf) Measured(name string) (own runfile.OwnJar, i int, ok bool) {
	for i, own := range s.own {
		if runfile.JarName(own.Name) == runfile.JarName(name) {
			return own, i, true
		}
	}
	return runfile.OwnJar{}, 0, false
}

// Class is the size whose tested process a jar takes: its own, or for a jar of the
// cook's own the class it falls in. Errors are a *process.Refusal or a *fault.Fault.
func (s Shelf) Class(name string) (process.Size, error) {
	if own, _, is := s.Measured(name); is {
		size, err := process.ClassOf(valueOf(own.Brimful))
		if _, refused := process.AsRefusal(err); err != nil && !refused {
			return "", fault.Of(s.Key(name), err, "")
		}
		return size, err
	}
	size, err := process.ParseSize(name)
	if err != nil {
		if len(s.own) > 0 {
			return "", fault.Of("jars", err, "or a jar of your own: "+strings.Join(s.Names(), ", "))
		}
		return "", fault.Of("jars", err, "")
	}
	return size, nil
}

// Find returns a jar of the catalogue or of the cook's own.
func (s Shelf) Find(name string, mouth jar.Mouth) (jar.Jar, error) {
	if own, _, is := s.Measured(name); is {
		return jar.Jar{
			Name: runfile.JarName(own.Name), Trust: "measured",
			Brimful: valueOf(own.Brimful), PackDiameter: valueOf(own.Diameter),
			Height: valueOf(own.Height), Bore: valueOf(own.Bore),
		}, nil
	}
	found, err := jar.Find(name, mouth)
	if err != nil {
		return jar.Jar{}, fault.Of("jars", err, "")
	}
	return found, nil
}

// ShapeOf is what a jar is to the canner.
func ShapeOf(j jar.Jar) canner.Shape {
	return canner.Shape{Name: j.Name, Diameter: j.PackDiameter, Height: j.Height}
}

// Key is the key an error about a jar's measures is about.
func (s Shelf) Key(name string) string {
	if _, i, is := s.Measured(name); is {
		return fmt.Sprintf("jar[%d]", i)
	}
	return "jars"
}

func (s Shelf) Names() []string {
	var names []string
	for _, own := range s.own {
		names = append(names, runfile.JarName(own.Name))
	}
	return names
}

// Count is how many jars of a size there are; counted is false when nobody counted.
func (s Shelf) Count(name string) (n int, counted bool) {
	if own, _, is := s.Measured(name); is {
		return valueOf(own.OnHand), own.OnHand != nil
	}
	n, counted = s.onHand[name]
	return n, counted
}

// Limit is how many jars of a size there are to fill; -1 when nobody counted.
func (s Shelf) Limit(wish runfile.JarWish) int {
	if n, counted := s.Count(wish.Jar); counted && (wish.Limit < 0 || n < wish.Limit) {
		return n
	}
	return wish.Limit
}

// holds is how many jars stand in one layer by the cook's count, the canner's own
// figures and those of flags first.
func (s Shelf) holds(counted map[string]int) map[string]int {
	holds := maps.Clone(counted)
	for _, own := range s.own {
		name := runfile.JarName(own.Name)
		if _, is := holds[name]; is || own.Holds == 0 {
			continue
		}
		if holds == nil {
			holds = map[string]int{}
		}
		holds[name] = own.Holds
	}
	return holds
}

// ChillJar is the jar a jars-in-fridge chill takes, or nothing, for a quart, where
// that is none the chill knows.
func (s Shelf) ChillJar(name string) chill.Jar {
	found, err := s.Find(name, jar.Regular)
	if err != nil {
		return chill.Jar{}
	}
	fill, err := found.Fill(process.Headspace)
	taken := chill.Jar{Fill: fill, Width: found.PackDiameter - jarGlass}
	if err != nil || !taken.Known() {
		return chill.Jar{}
	}
	return taken
}

// ChillJar is the jar a jars-in-fridge chill takes: the first of those to be filled.
func (s Setup) ChillJar() chill.Jar {
	if len(s.Jars) == 0 {
		return chill.Jar{}
	}
	return s.Shelf.ChillJar(s.Jars[0].Jar)
}

// valueOf is what a pointer points at, or nothing where it is not given.
func valueOf[T any](given *T) T {
	var value T
	if given != nil {
		value = *given
	}
	return value
}
