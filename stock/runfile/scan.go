package runfile

import (
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// scanner passes through the text of a TOML file and finds where keys and values
// stand, which the library's decoder does not tell. It knows where things end and no
// rule beyond that: what it lets through and is no TOML, the library refuses.
type scanner struct {
	text          string
	at            int // what comes before is passed
	line, counted int // the line of the last key; line ends before counted are in it
}

// skip passes blanks, line ends and comments.
func (s *scanner) skip() {
	for s.at < len(s.text) {
		switch s.text[s.at] {
		case ' ', '\t', '\r', '\n':
			s.at++
		case '#':
			comment, _, _ := strings.Cut(s.text[s.at:], "\n")
			s.at += len(comment)
		default:
			return
		}
	}
}

// take passes token if it comes next, and reports whether it did.
func (s *scanner) take(token string) bool {
	s.skip()
	found := strings.HasPrefix(s.text[s.at:], token)
	if found {
		s.at += len(token)
	}
	return found
}

// maxParts is more than any known key has; the rest of a longer one is cut.
const maxParts = 4

const bareCharacters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789_-"

// key passes a dotted key and returns it as it is called under a section: with a
// part in quotes where TOML needs them, so that a quoted dot is no divider. It sets
// the line. ok is false when no key comes next.
func (s *scanner) key(under string) (path string, ok bool) {
	path = under
	for parts := 0; parts == 0 || s.take("."); parts++ {
		s.skip()
		if parts == 0 {
			s.line += strings.Count(s.text[s.counted:s.at], "\n")
			s.counted = s.at
		}
		rest := s.text[s.at:]
		raw := rest[:len(rest)-len(strings.TrimLeft(rest, bareCharacters))]
		name := clip(raw)
		if raw == "" {
			raw = rest[:quotedLength(rest)]
			meaning, _ := decodeValue(raw)
			text, isText := meaning.(string)
			if !isText {
				return "", false
			}
			if name = clip(text); name == "" || strings.Trim(name, bareCharacters) != "" {
				name = strconv.Quote(name)
			}
		}
		s.at += len(raw)
		switch {
		case parts == maxParts:
			path += ".…"
		case parts < maxParts:
			path = strings.TrimPrefix(path+"."+name, ".")
		}
	}
	return path, true
}

// value passes a value and returns it as it is written.
func (s *scanner) value() string {
	s.skip()
	start := s.at
	for brackets := 0; s.at < len(s.text); s.at += max(quotedLength(s.text[s.at:]), 1) {
		switch c := s.text[s.at]; {
		case c == '[' || c == '{':
			brackets++
		case brackets == 0 && strings.IndexByte("]},#\n", c) >= 0:
			return strings.TrimRight(s.text[start:s.at], " \t\r")
		case c == ']' || c == '}':
			brackets--
		case c == '#':
			comment, _, _ := strings.Cut(s.text[s.at:], "\n")
			s.at += len(comment)
		}
	}
	s.at = len(s.text)
	return strings.TrimRight(s.text[start:], " \t\r")
}

// quotedLength is the length of the text in quotes that text begins with, quotes
// included: all of it where they are not closed, 0 where there are none.
func quotedLength(text string) int {
	if text == "" || text[0] != '"' && text[0] != '\'' {
		return 0
	}
	quote := text[:1]
	if strings.HasPrefix(text, strings.Repeat(quote, 3)) {
		quote = text[:3]
	}
	for i := len(quote); i < len(text); i++ {
		switch {
		case text[i] == '\\' && quote[0] == '"':
			i++
		case strings.HasPrefix(text[i:], quote):
			end := i + len(quote)
			for extra := 0; len(quote) == 3 && extra < 2 && strings.HasPrefix(text[end:], quote[:1]); extra++ {
				end++ // two quotes more may stand before the three that close
			}
			return end
		}
	}
	return len(text)
}

// decodeValue returns what a value means, by the TOML library; nil for lists and
// sections, which no key takes. ok is false when it is no TOML.
func decodeValue(raw string) (is any, ok bool) {
	if strings.HasPrefix(raw, "[") || strings.HasPrefix(raw, "{") {
		return nil, true
	}
	var file struct{ V any }
	err := toml.Unmarshal([]byte("V = "+raw), &file)
	return file.V, err == nil
}
