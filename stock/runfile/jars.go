package runfile

import (
	"fmt"
	"slices"
	"strings"
)

// JarWish is a size of jar the cook would fill, with a limit.
type JarWish struct {
	Jar   string
	Limit int // at most so many; -1 for no limit
}

// ParseJars reads jars in order of preference, each with an optional limit:
// "quart,pint" or "quart=14,pint=12". Names are checked when the run is
// planned. Empty text, a size twice, and a limit that is not a whole number
// from 0 to 1000 are errors.
func ParseJars(text string) ([]JarWish, error) {
	var wishes []JarWish
	for part := range strings.SplitSeq(text, ",") {
		name, limit, limited := strings.Cut(strings.TrimSpace(part), "=")
		wish := JarWish{Jar: JarName(name), Limit: -1}
		if wish.Jar == "" {
			return nil, fmt.Errorf("jars %q: a jar has no name; write quart,pint or quart=14,pint=12", text)
		}
		if limited {
			n, err := ParseCount(limit)
			if err != nil {
				return nil, fmt.Errorf("jars %q: %w", text, err)
			}
			wish.Limit = n
		}
		for _, other := range wishes {
			if other.Jar == wish.Jar {
				return nil, fmt.Errorf("jars %q: %s is named twice; write each size once", text, wish.Jar)
			}
		}
		wishes = append(wishes, wish)
	}
	return wishes, nil
}

// JarsText writes wishes as ParseJars reads them.
func JarsText(wishes ...JarWish) string {
	var texts []string
	for _, wish := range wishes {
		text := wish.Jar
		if wish.Limit >= 0 {
			text += fmt.Sprintf("=%d", wish.Limit)
		}
		texts = append(texts, text)
	}
	return strings.Join(texts, ",")
}

// ParseHolds reads how many jars of each size stand in one layer, such as
// "quart=7,pint=9". Jars of the cook's own go by their name in kitchen.
func ParseHolds(text string, kitchen Kitchen) (map[string]int, error) {
	holds := map[string]int{}
	for part := range strings.SplitSeq(text, ",") {
		name, count, given := strings.Cut(strings.TrimSpace(part), "=")
		name = JarName(name)
		if name == "" || !given {
			return nil, fmt.Errorf("holds %q are not readable: write jars in one layer, such as quart=7,pint=9", text)
		}
		n, err := ParseCount(count)
		if err != nil {
			return nil, fmt.Errorf("holds %q: %w", text, err)
		}
		if _, own := kitchen.OwnJar(name); !own {
			if !slices.Contains(jarSizes, name) && !slices.Contains(largeSizes, name) {
				return nil, fmt.Errorf("holds %q: jar %q is not known: write half-pint, pint, pint-and-half or quart", text, name)
			}
		}
		if _, twice := holds[name]; twice {
			return nil, fmt.Errorf("holds %q: %s is named twice; write each size once", text, name)
		}
		holds[name] = n
	}
	return holds, nil
}

// ParseCount reads a whole number from 0 to 1000.
func ParseCount(text string) (int, error) {
	text = strings.TrimSpace(text)
	n := 0
	for _, r := range text {
		if r < '0' || r > '9' || n > 1000 {
			return 0, fmt.Errorf("%q is not a count: a whole number from 0 to 1000", text)
		}
		n = 10*n + int(r-'0')
	}
	if text == "" || n > 1000 {
		return 0, fmt.Errorf("%q is not a count: a whole number from 0 to 1000", text)
	}
	return n, nil
}
