package answer

import (
	"bytes"
	"cmp"
	"embed"
	"fmt"
	"html/template"
	"maps"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"brothrun/cmd/brothrun/order"
	"brothrun/stock/fault"
	"brothrun/stock/runfile"
	"brothrun/stock/settle"
	"brothrun/timeline"
)

//go:embed form.html.tmpl
var formFile embed.FS

var forms = sync.OnceValue(func() *template.Template { return template.Must(template.ParseFS(formFile, "form.html.tmpl")) })

func (a *asked) form(name string, view any) error {
	var html strings.Builder
	err := forms().ExecuteTemplate(&html, name, view)
	a.answer.HTML = html.String()
	return err
}

// group is a section of the kitchen.
type group struct {
	Title  string
	First  bool // what no plan does without
	Fields []field
}

type field struct {
	runfile.Field
	Label   string
	Choices []choice
}

type choice struct {
	Value, Label string
	Chosen       bool
}

// picked are the keys that take one of a few words, by the end of their name.
var picked = map[string][]string{
	"gauge": {"weighted", "dial"}, "units": {"us", "metric"}, "mouth": {"regular", "wide"}, "wall": {"heavy", "thin"},
	"hob": {"gas", "propane", "electric", "induction"}, "heat": {"stove", "oven", "own"}, "unattended": {"true", "false"},
	"runs": {here},
}

// here is the folder of a phone's runs: all its files lie in one.
const here = "."

// choicesOf are the words with the one that is given, whatever it is; the first is none.
func choicesOf(words []string, given string) []choice {
	all := []choice{{"", "not given", given == ""}}
	if given != "" && !slices.Contains(words, given) {
		words = append([]string{given}, words...)
	}
	for _, word := range words {
		label := strings.ReplaceAll(word, "-", " ")
		if word == here {
			label = "the runs on this phone"
		}
		all = append(all, choice{word, label, word == given})
	}
	return all
}

// kitchen writes what is set into the kitchen's file, and shows its fields.
func (a *asked) kitchen() error {
	data := a.Files[kitchenFile]
	if data == nil { // what came of her runs sharpens the next
		var err error
		if data, err = runfile.Edit([]byte(runfile.Starter()), "runs", here); err != nil {
			return err
		}
	}
	former, _ := runfile.DecodeKitchen(bytes.NewReader(data), kitchenFile)
	for _, key := range slices.Sorted(maps.Keys(a.Set)) {
		var err error
		text := strings.TrimSpace(a.Set[key])
		if data, err = runfile.Edit(data, key, text); err != nil {
			return err
		}
		if data, err = potNamed(data, key, text); err != nil {
			return err
		}
	}
	if kitchen, err := runfile.DecodeKitchen(bytes.NewReader(data), kitchenFile); err != nil && len(a.Set) > 0 {
		return keyed(err, a.Set)
	} else if len(a.Set) > 0 {
		a.answer.Files = map[string][]byte{kitchenFile: data}
		if err := a.potTaken(former, kitchen); err != nil {
			return err
		}
	}
	var groups []group
	for _, f := range kitchenFields(data) {
		section, name := cutLast(f.Key)
		title := cmp.Or(strings.NewReplacer("_", " ", ".", ", ").Replace(section), "house")
		if list, number, ok := strings.Cut(title, "["); ok { // "pot[0]" is the first pot
			n, _ := strconv.Atoi(strings.TrimSuffix(number, "]"))
			title = fmt.Sprintf("%s %d", list, n+1)
		}
		if len(groups) == 0 || groups[len(groups)-1].Title != title {
			groups = append(groups, group{Title: title, First: len(groups) == 0})
		}
		one := field{Field: f, Label: strings.ReplaceAll(name, "_", " ")}
		if words := picked[name]; words != nil {
			one.Choices = choicesOf(words, f.Text)
		}
		of := &groups[len(groups)-1]
		of.Fields = append(of.Fields, one)
	}
	return a.form("kitchen", groups)
}

// potNamed gives a pot that gets its first figure a name to be chosen by.
func potNamed(data []byte, key, text string) ([]byte, error) {
	section, name := cutLast(key)
	n, ok := strings.CutPrefix(strings.TrimSuffix(section, "]"), "pot[")
	if !ok || name == "name" || text == "" || slices.ContainsFunc(runfile.Fields(data), func(f runfile.Field) bool {
		return f.Key == section+".name" && f.Text != ""
	}) {
		return data, nil
	}
	number, err := strconv.Atoi(n)
	if err != nil {
		return data, nil
	}
	return runfile.Edit(data, section+".name", fmt.Sprintf("pot %d", number+1))
}

// potTaken lets a new run go into the first pot of the kitchen, once there is one.
func (a *asked) potTaken(former, kitchen runfile.Kitchen) error {
	if len(former.Pots) > 0 || len(kitchen.Pots) == 0 || kitchen.Pots[0].Name == "" || len(a.Runs) == 0 {
		return nil
	}
	data, there := a.Files[a.Runs[0]]
	run, err := runfile.DecodeRun(bytes.NewReader(data), a.Runs[0])
	if !there || err != nil || len(run.Notes) > 0 || run.Pot != anyPot[false] && run.Pot != anyPot[true] {
		return nil
	}
	a.answer.Files[a.Runs[0]], err = a.edited(data, "pot", kitchen.Pots[0].Name)
	return err
}

// anyPot is what a new run goes into where there is no pot in the kitchen: metric or not.
var anyPot = map[bool]string{false: "12 qt", true: "12 l"}

// cutLast cuts a key before its last part.
func cutLast(key string) (section, name string) {
	i := strings.LastIndexByte(key, '.')
	return key[:max(i, 0)], key[i+1:]
}

// kitchenFields are all fields of a kitchen, in the order of the starter file and with what
// it advises; of pots, jars and bookings one more than there are.
func kitchenFields(data []byte) (all []runfile.Field) {
	given, count := map[string]runfile.Field{}, map[string]int{}
	for _, f := range runfile.Fields(data) {
		given[f.Key] = f
		if list, rest, ok := strings.Cut(f.Key, "["); ok && f.Text != "" {
			n, _ := strconv.Atoi(rest[:strings.IndexByte(rest, ']')])
			count[list] = max(count[list], n+1)
		}
	}
	starter := runfile.Fields([]byte(runfile.Starter()))
	for len(starter) > 0 {
		section, _ := cutLast(starter[0].Key)
		n := slices.IndexFunc(starter, func(f runfile.Field) bool { of, _ := cutLast(f.Key); return of != section })
		if n < 0 {
			n = len(starter)
		}
		list, _, several := strings.Cut(section, "[0]")
		for i := range count[list] + 1 {
			for _, f := range starter[:n] {
				f.Key = strings.Replace(f.Key, "[0]", fmt.Sprintf("[%d]", i), 1)
				f.Text = given[f.Key].Text
				all = append(all, f)
			}
			if !several {
				break
			}
		}
		starter = starter[n:]
	}
	return all
}

// keyed is an error of a file with the key that was set, where it was one.
func keyed(err error, set map[string]string) error {
	_, hints := order.Diagnose(err)
	for key := range set {
		if len(set) == 1 {
			return fault.Of(key, err, strings.Join(hints, "; "))
		}
	}
	return err
}

// flagKeys are the keys of a run's file that its fields set, by their flags.
var flagKeys = map[string]string{"kind": "kind", "bones": "bones", "pot": "pot", "jars": "jars", "start": "start", "finish-by": "finish_by",
	"vegetables": "vegetables", "simmer": "simmer", "lid": "lid"}

// run writes what is set into the run's file, and shows its fields.
func (a *asked) run() error {
	if len(a.Runs) == 0 {
		return fault.New("", "name a run", "no run is asked about")
	}
	name := a.Runs[0]
	data, isThere := a.Files[name]
	if !isThere {
		data = a.fresh(name)
	}
	changed := !isThere
	for _, flag := range slices.Sorted(maps.Keys(a.Set)) {
		key, text := flagKeys[flag], strings.TrimSpace(a.Set[flag])
		if key == "" {
			return fault.New(flag, "", "there is no field %s", flag)
		}
		keys := map[string]string{key: text}
		if key == "start" || key == "finish_by" { // one of the ways to say when
			keys = map[string]string{"start": "", "finish_by": "", "between": "", "and": ""}
			keys[key] = shownDate(text)
		}
		for _, key := range slices.Sorted(maps.Keys(keys)) {
			edited, err := a.edited(data, key, keys[key])
			if err != nil {
				return fault.Of(flag, err, "")
			}
			changed = changed || !bytes.Equal(edited, data)
			data = edited
		}
	}
	run, err := runfile.DecodeRun(bytes.NewReader(data), name)
	if err != nil {
		return keyed(err, a.Set)
	}
	if changed {
		a.answer.Files = map[string][]byte{name: data}
	}
	return a.form("run", a.fields(run, data))
}

// edited is a file with another value of a key; one that says so already stays as it is.
func (a *asked) edited(data []byte, key, text string) ([]byte, error) {
	i := slices.IndexFunc(runfile.Fields(data), func(f runfile.Field) bool { return f.Key == key && f.Text != "" })
	if i >= 0 && runfile.Fields(data)[i].Text == text || i < 0 && text == "" {
		return data, nil
	}
	return runfile.Edit(data, key, text)
}

// fresh is a new run: what it says is there to be changed. It begins tomorrow morning.
func (a *asked) fresh(name string) []byte {
	kitchen, _ := runfile.DecodeKitchen(bytes.NewReader(a.Files[kitchenFile]), kitchenFile)
	metric := kitchen.Units == "metric"
	bones, pot := "4 lb", anyPot[metric]
	if metric {
		bones = "2 kg"
	}
	if len(kitchen.Pots) > 0 && kitchen.Pots[0].Name != "" {
		pot = kitchen.Pots[0].Name
	}
	place, err := timeline.FindZone(cmp.Or(kitchen.Zone, a.Zone))
	if err != nil {
		place = time.UTC
	}
	start := a.Now.In(place).AddDate(0, 0, 1).Format("2006-01-02") + " 08:00"
	id := sum([]byte(name), []byte(a.Now.Format(time.RFC3339Nano)))
	return fmt.Appendf(nil, "id = %q        # leave this as it is: the calendar goes by it\nkitchen = %q\n\n"+
		"kind = \"chicken-frames\"\nbones = %q\npot = %q\njars = \"quart,pint\"\nstart = %q\n", id, kitchenFile, bones, pot, start)
}

// runFields are the five fields of a run, and those that few runs need.
type runFields struct {
	Kinds            []choice
	Bones            string // as it is written
	Weight, Most     string // a number of Unit, where it is plain; Most of a slider
	Unit             []choice
	Pots             []choice
	Pot              string
	By               bool // it is to be done by Time
	Time, Else       string
	Jars             []choice
	Vegetables       string
	Simmer           string
	Lid              []choice
	Notes            int
	SeveralKinds     bool
	Step             string
	HasPots, Sliding bool
}

func (a *asked) fields(run runfile.Run, data []byte) runFields {
	var f runFields
	var kinds []string
	for _, kind := range settle.Kinds() {
		kinds = append(kinds, string(kind))
	}
	f.Kinds = choicesOf(kinds, run.Kind)
	f.SeveralKinds, f.Notes = len(run.Portions) > 0 || len(run.Fills) > 0, len(run.Notes)
	written := map[string]string{}
	for _, one := range runfile.Fields(data) {
		written[one.Key] = one.Text
	}
	f.Bones, f.Vegetables, f.Simmer = written["bones"], written["vegetables"], written["simmer"]
	f.Lid = choicesOf([]string{"on", "ajar", "off"}, run.Lid)
	number, unit, ok := strings.Cut(strings.TrimSpace(f.Bones), " ")
	if !ok {
		number = strings.TrimRight(f.Bones, "lbkg")
		unit = strings.TrimPrefix(f.Bones, number)
	}
	if plain := strings.Trim(number, "0123456789.") == "" && number != ""; plain && (unit == "lb" || unit == "kg") {
		f.Sliding, f.Weight, f.Most, f.Step = true, number, "30", "0.25"
		if unit == "kg" {
			f.Most, f.Step = "15", "0.1"
		}
		f.Unit = []choice{{"lb", "lb", unit == "lb"}, {"kg", "kg", unit == "kg"}}
	}
	kitchen, _ := runfile.DecodeKitchen(bytes.NewReader(a.Files[kitchenFile]), kitchenFile)
	var pots []string
	for _, pot := range kitchen.Pots {
		pots = append(pots, pot.Name)
	}
	f.Pot, f.HasPots = run.Pot, len(pots) > 0
	f.Pots = choicesOf(pots, run.Pot)
	f.By = run.FinishBy != ""
	f.Time = strings.Replace(cmp.Or(run.Start, run.FinishBy), " ", "T", 1)
	if run.Between != "" {
		f.Else = run.Between + " – " + run.And
	}
	f.Jars = choicesOf([]string{"quart,pint", "pint,quart", "quart", "pint", "half-pint", "pint-and-half"}, run.Jars)
	for i, jars := range f.Jars {
		if jars.Value != "" && !strings.Contains(jars.Value, "=") {
			f.Jars[i].Label = strings.ReplaceAll(jars.Value, ",", "s, then ") + "s"
		}
	}
	return f
}
