package runfile_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/stock/runfile"
)

func TestParseJars(t *testing.T) {
	got, err := runfile.ParseJars(" Quart = 14 , pint")
	require.NoError(t, err)
	assert.Equal(t, []runfile.JarWish{{Jar: "quart", Limit: 14}, {Jar: "pint", Limit: -1}}, got)
	for _, text := range []string{"", ",", "quart,", "quart=", "quart=-1", "quart=1.5", "quart=1001", "quart,quart=2", "quart=99999999999999999999"} {
		_, err := runfile.ParseJars(text)
		assert.Error(t, err, text)
	}
}

func TestParseHolds(t *testing.T) {
	got, err := runfile.ParseHolds("quart=7, pint=9", runfile.Kitchen{})
	require.NoError(t, err)
	assert.Equal(t, map[string]int{"quart": 7, "pint": 9}, got)
	got, err = runfile.ParseHolds("Jam glasses=4,quart=7,gallon=1", runfile.Kitchen{OwnJars: []runfile.OwnJar{{Name: "jam-glass"}}})
	require.NoError(t, err)
	assert.Equal(t, map[string]int{"jam-glass": 4, "quart": 7, "gallon": 1}, got)
	_, err = runfile.ParseHolds("thimble=7", runfile.Kitchen{})
	assert.EqualError(t, err, `holds "thimble=7": jar "thimble" is not known: write half-pint, pint, pint-and-half or quart`)
	for _, text := range []string{"", "quart", "quart=x", "quart=7,quart=8", "=7"} {
		_, err := runfile.ParseHolds(text, runfile.Kitchen{})
		assert.Error(t, err, text)
	}
}
