package stock

import (
	"errors"
	"fmt"
	"maps"
	"strings"

	"brothrun/stock/canner"
	"brothrun/stock/chill"
	"brothrun/stock/fault"
	"brothrun/stock/jar"
	"brothrun/stock/process"
	"brothrun/stock/runfile"
)

// shelf is the jars of a kitchen: those the cook measured, and how many there are.
type shelf struct {
	own    []runfile.OwnJar
	onHand map[string]int
}

// measured returns the cook's own jar of a name and its place among them.
func (s shelf) measured(name string) (own runfile.OwnJar, i int, ok bool) {
	for i, own := range s.own {
		if runfile.JarName(own.Name) == runfile.JarName(name) {
			return own, i, true
		}
	}
	return runfile.OwnJar{}, 0, false
}

// class is the size whose tested process a jar takes: its own, or for a jar of the
// cook's own the class it falls in. Errors are a *process.Refusal or a *fault.Fault.
func (s shelf) class(name string) (process.Size, error) {
	if own, _, is := s.measured(name); is {
		size, err := process.ClassOf(valueOf(own.Brimful))
		if err != nil && !isRefusal(err) {
			return "", fault.Of(s.key(name), err, "")
		}
		return size, err
	}
	size, err := process.ParseSize(name)
	if err != nil {
		if len(s.own) > 0 {
			return "", fault.Of("jars", err, "or a jar of your own: "+strings.Join(s.names(), ", "))
		}
		return "", fault.Of("jars", err, "")
	}
	return size, nil
}

func isRefusal(err error) bool {
	var refusal *process.Refusal
	return errors.As(err, &refusal)
}

// find returns a jar of the catalogue or of the cook's own.
func (s shelf) find(name string, mouth jar.Mouth) (jar.Jar, error) {
	if own, _, is := s.measured(name); is {
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

// shape is what a jar is to the canner.
func (s shelf) shape(name string, mouth jar.Mouth) (canner.Shape, error) {
	j, err := s.find(name, mouth)
	return shapeOf(j), err
}

func shapeOf(j jar.Jar) canner.Shape {
	return canner.Shape{Name: j.Name, Diameter: j.PackDiameter, Height: j.Height}
}

// key is the key an error about a jar's measures is about.
func (s shelf) key(name string) string {
	if _, i, is := s.measured(name); is {
		return fmt.Sprintf("jar[%d]", i)
	}
	return "jars"
}

func (s shelf) names() []string {
	var names []string
	for _, own := range s.own {
		names = append(names, runfile.JarName(own.Name))
	}
	return names
}

// count is how many jars of a size there are; counted is false when nobody counted.
func (s shelf) count(name string) (n int, counted bool) {
	if own, _, is := s.measured(name); is {
		return valueOf(own.OnHand), own.OnHand != nil
	}
	n, counted = s.onHand[name]
	return n, counted
}

// limit is how many jars of a size there are to fill; -1 when nobody counted.
func (s shelf) limit(wish JarWish) int {
	if n, counted := s.count(wish.Jar); counted && (wish.Limit < 0 || n < wish.Limit) {
		return n
	}
	return wish.Limit
}

// holds is how many jars stand in one layer by the cook's count, the canner's own
// figures and those of flags first.
func (s shelf) holds(counted map[string]int) map[string]int {
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

// chillJar is the jar a jars-in-fridge chill takes, or nothing, for a quart, where
// that is none the chill knows.
func (s shelf) chillJar(name string) chill.Jar {
	found, err := s.find(name, jar.Regular)
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
