package fault_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"brothrun/stock/fault"
)

// What was written, of the words of a kitchen, and what may be meant: by how a cook would
// take it, common practice, no source.
func TestMeantIsWhatIsNearest(t *testing.T) {
	kinds := []string{"chicken", "chicken-frames", "turkey", "turkey-frames", "beef", "beef-shank"}
	for _, row := range []struct {
		written string
		words   []string
		want    string
	}{
		{"turky-frames", kinds, "; did you mean turkey-frames?"},
		{"Turkey Frams", kinds, "; did you mean turkey-frames?"},
		{"frames", kinds, "; did you mean chicken-frames or turkey-frames?"},
		{"shank", kinds, "; did you mean beef-shank?"},
		{"gravel", kinds, ""},
		{"steam", []string{"weighted", "dial"}, ""},
		{"ofn", []string{"on", "ajar", "off"}, "; did you mean on or off?"},
		{"ice", []string{"ice-bath", "fridge", "ice-added", "ice-bath+fridge"},
			"; did you mean ice-bath, ice-added or ice-bath+fridge?"},
		{"", kinds, ""},
	} {
		assert.Equal(t, row.want, fault.DidYouMean(row.written, row.words), "%q", row.written)
	}
}

// A word is taken where it can be only one.
func TestOneTakesWhatCanBeOnlyOne(t *testing.T) {
	words := []string{"quart", "turkey-frames", "glass", "a-b", "a-bs"}
	for written, want := range map[string]string{
		"Turkey frame": "turkey-frames", "QUARTS": "quart", " turkey  frames ": "turkey-frames", "glass": "glass",
		"a-b": "a-b", "a-bs": "a-bs", "frames": "", "quarter": "", "": "",
	} {
		word, ok := fault.One(written, words)
		assert.Equal(t, want, word, written)
		assert.Equal(t, want != "", ok, written)
	}
}

func TestNearestIsOneWordWhateverIsWritten(t *testing.T) {
	assert.Equal(t, "bones", fault.Nearest("bonse", []string{"kind", "bones", "pot"}))
	assert.Equal(t, "pot", fault.Nearest("", []string{"kind", "bones", "pot"}))
}
