// Package page is the page a phone shows of a run while it goes on: what is on, a clock
// that counts, a button for the next thing that happens, and the rest of the day. It writes
// to an io.Writer and knows nothing of who asks.
package page

import (
	"crypto/sha256"
	"embed"
	"fmt"
	"html/template"
	"io"
	"sync"

	"brothrun/export/words"
)

//go:embed page.html.tmpl page.css page.js
var files embed.FS

// Style and Script are what the page is drawn and moved by.
func Style() []byte  { return file("page.css") }
func Script() []byte { return file("page.js") }

func file(name string) []byte {
	data, err := files.ReadFile(name)
	if err != nil {
		panic(err) // it is embedded
	}
	return data
}

// Build tells this page from that of another build.
var Build = sync.OnceValue(func() string {
	sum := sha256.New()
	for _, name := range []string{"page.html.tmpl", "page.css", "page.js"} {
		sum.Write(file(name))
	}
	return fmt.Sprintf("%x", sum.Sum(nil)[:6])
})

// templates are parsed when the first page is asked for: no other command has to wait.
var templates = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("").Funcs(template.FuncMap{"say": words.Say, "build": Build}).
		Parse(string(file("page.html.tmpl"))))
})

// Site is where a page stands and what of it does not change while the run goes on.
type Site struct {
	Title    string
	Base     string // the path that all it asks for begins with, with a slash at its end
	Zone     string // IANA name of the clock it shows
	Buttons  bool   // of the cook's page
	Secure   bool   // it comes over TLS
	Host     string // as it was asked for: "192.168.1.7:8735"
	Reader   string // the path of the page without buttons
	Others   []Link // the other runs
	Calendar string // the path of the calendar
}

// Webcal is the address at which a calendar is subscribed to.
func (s Site) Webcal() template.URL { return template.URL("webcal://" + s.Host + s.Calendar) }

// Link leads to another run.
type Link struct{ Path, Title string }

// Shell writes the page that a phone keeps: it shows nothing by itself, its script asks for
// the rest. The only errors are those of w.
func (s Site) Shell(w io.Writer) error { return templates().ExecuteTemplate(w, "shell", s) }

// Now writes what the page shows now, for its script. The same view is the same text,
// whatever the instant. The only errors are those of w.
func Now(w io.Writer, site Site, v View) error {
	return templates().ExecuteTemplate(w, "now", shown{Site: site, View: v})
}

// Plain writes the whole page for who has no script; each form has an ID of newID. The only
// errors are those of w.
func Plain(w io.Writer, site Site, v View, newID func() string) error {
	return templates().ExecuteTemplate(w, "plain", shown{Site: site, View: v, NewID: newID})
}

type shown struct {
	Site
	View
	NewID func() string // nil with a script, which makes its own
}

// Plain tells that there is no script.
func (s shown) Plain() bool { return s.NewID != nil }

// bound is a part of a page with the page it stands in.
type bound struct {
	shown
	Of any
}

// With binds a part to the page.
func (s shown) With(of any) bound { return bound{s, of} }
