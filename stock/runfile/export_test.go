package runfile

import "strings"

// Key is one key of a file, for tests.
type Key struct {
	Name     string
	Examples []string
}

func KitchenKeys() []Key { return keysOf(new(Kitchen)) }

func RunKeys() []Key { return keysOf(new(Run)) }

func keysOf(f form) (keys []Key) {
	for _, k := range f.keys() {
		keys = append(keys, Key{k.name, strings.Split(k.examples, " or ")})
	}
	return keys
}
