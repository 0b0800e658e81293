package fault

import (
	"slices"
	"strings"

	"github.com/agnivade/levenshtein"
)

// Nearest is the word that is most like what was written, of one or more.
func Nearest[W ~string](written string, words []W) W {
	return slices.MinFunc(words, func(a, b W) int { return slips(written, string(a)) - slips(written, string(b)) })
}

// slips is how many letters have to be put in, left out or changed to make one of the other.
func slips(a, b string) int { return levenshtein.ComputeDistance(a, b) }

// Meant are the words that may be meant by what was written, which is none of them: those
// with the fewest slips, a fourth of its letters and one at the most, or else those of
// which it is a part, "frames" of "turkey-frames". How many slips is own choice, no source.
func Meant[W ~string](written string, words []W) (meant []W) {
	written = Singular(written)
	fewest := 1 + len(written)/4
	for _, word := range words {
		switch n := slips(written, Singular(string(word))); {
		case n < fewest:
			meant, fewest = []W{word}, n
		case n == fewest:
			meant = append(meant, word)
		}
	}
	if len(meant) > 0 {
		return meant
	}
	for _, word := range words {
		parts := strings.FieldsFunc(Singular(string(word)), func(r rune) bool { return r == '-' || r == '+' })
		if slices.Contains(parts, written) {
			meant = append(meant, word)
		}
	}
	return meant
}

// DidYouMean is what is said of them after a word that is not known; nothing where there
// are none.
func DidYouMean[W ~string](written string, words []W) string {
	meant := Meant(written, words)
	if len(meant) == 0 {
		return ""
	}
	return "; did you mean " + listed(meant) + "?"
}

// listed writes "a, b or c".
func listed[W ~string](words []W) string {
	var text strings.Builder
	for i, word := range words {
		switch {
		case i == 0:
		case i == len(words)-1:
			text.WriteString(" or ")
		default:
			text.WriteString(", ")
		}
		text.WriteString(string(word))
	}
	return text.String()
}

// Singular writes a word as it is compared: in lower case, with hyphens for blanks, and
// with no s at the end of any of its parts.
func Singular(text string) string {
	parts := strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return r == ' ' || r == '-' || r == '_' })
	for i, part := range parts {
		if len(part) > 3 && !strings.HasSuffix(part, "ss") {
			parts[i] = strings.TrimSuffix(part, "s")
		}
	}
	return strings.Join(parts, "-")
}

// One is the word that was written, upper and lower case, blanks for hyphens and more than
// one of it forgiven; ok is false where that is none, or more than one.
func One[W ~string](written string, words []W) (word W, ok bool) {
	for _, known := range words {
		switch {
		case string(known) == strings.Join(strings.Fields(strings.ToLower(written)), "-"):
			return known, true
		case Singular(string(known)) != Singular(written):
		case ok:
			return "", false
		default:
			word, ok = known, true
		}
	}
	return word, ok
}
