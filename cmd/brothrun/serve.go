package main

import (
	"context"
	"crypto/rand"
	"crypto/tls"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net"
	"net/http"
	"net/netip"
	"os"
	"os/signal"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"time"

	"github.com/spf13/cobra"

	"brothrun/cmd/brothrun/order"
	"brothrun/cmd/brothrun/serve"
	"brothrun/export"
	"brothrun/export/words"
	"brothrun/stock/fault"
)

// serving is what serve is given beside the runs.
type serving struct {
	port      int
	newLink   bool
	cert, key string
	planner   string
}

func newServe() *cobra.Command {
	var given serving
	cmd := &cobra.Command{
		Use:   "serve RUN.toml [RUN.toml ...]",
		Short: "Show the run on phones at home, with a button for what happens",
		Long: `Puts a page on the home network until Ctrl-C: what is on, a clock that counts,
and a button for the next thing that happens. Each press is a note in the run
file, and the rest of the run moves. The link it prints has the buttons; the
page has another for who only looks, and the run as a calendar.

It answers devices of the home network alone, over plain http unless --cert and
--key are given: whoever listens on that network can read along.`,
		Example: `  brothrun serve run.toml
  brothrun serve run.toml --port 8000
  brothrun serve run.toml --new-link
  brothrun serve run.toml --planner site`,
		Args: arguments(cobra.MinimumNArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := given.check(cmd.Flags().Changed("port")); err != nil {
				return err
			}
			return given.serve(cmd.OutOrStdout(), args)
		},
	}
	cmd.Flags().IntVar(&given.port, "port", 0,
		"`NUMBER` it is reached at, from 1024 to 65535; it is kept for the next time")
	cmd.Flags().BoolVar(&given.newLink, "new-link", false, "make new links: those there were lead nowhere any more")
	cmd.Flags().StringVar(&given.cert, "cert", "", "`FILE` of a certificate (PEM), for https; with --key")
	cmd.Flags().StringVar(&given.key, "key", "", "`FILE` of its private key (PEM)")
	cmd.Flags().StringVar(&given.planner, "planner", "",
		"`FOLDER` that brothrun-site built: hand out the planner for a browser too")
	return cmd
}

func (g *serving) check(portGiven bool) error {
	switch {
	case portGiven && (g.port < 1024 || g.port > 65535):
		return fault.New("port", fmt.Sprintf("--port %d", usualPort), "--port %d: must be from 1024 to 65535", g.port)
	case (g.cert == "") != (g.key == ""):
		return fault.New("cert", "give both, or neither for plain http", "--cert and --key go together")
	}
	return nil
}

// usualPort is the port until another is asked for: one that nothing usual has; own choice.
const usualPort = 8735

// links are the words of the two links, and the port: they stay the same, so that a page
// on a phone's home screen leads here the next time.
type links struct {
	Cook string `json:"cook"`
	View string `json:"view"`
	Port int    `json:"port"`
}

// word is 100 random bits.
func word() string { return strings.ToLower(rand.Text()[:20]) }

// linksOf reads the links from the user's config folder, and makes what is missing or to be
// made anew.
func (g *serving) linksOf() (l links, err error) {
	folder, err := os.UserConfigDir()
	if err != nil {
		return l, err
	}
	path := filepath.Join(folder, "brothrun", "links.json")
	data, err := os.ReadFile(path)
	if err == nil {
		err = json.Unmarshal(data, &l)
	}
	if err != nil && !errors.Is(err, fs.ErrNotExist) && !g.newLink {
		return l, fmt.Errorf("cannot read the links in %s: %w; --new-link makes new ones", path, err)
	}
	former := l
	if g.newLink || len(l.Cook) != len(word()) || len(l.View) != len(word()) {
		l.Cook, l.View = word(), word()
	}
	if g.port != 0 {
		l.Port = g.port
	} else if l.Port < 1024 || l.Port > 65535 {
		l.Port = usualPort
	}
	if l == former {
		return l, os.Chmod(path, 0o600)
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return l, err
	}
	if data, err = json.MarshalIndent(l, "", "  "); err != nil {
		return l, err
	}
	beside, err := os.CreateTemp(filepath.Dir(path), ".links-*") // for its user alone
	if err != nil {
		return l, err
	}
	defer os.Remove(beside.Name())
	_, err = beside.Write(append(data, '\n'))
	if err = errors.Join(err, beside.Close()); err != nil {
		return l, err
	}
	return l, os.Rename(beside.Name(), path)
}

// home are this machine's addresses on home networks, the one that leads out first; of IPv6
// [RFC 4193] only where there is none of IPv4, which every phone has.
var home = func() (all []netip.Addr) {
	// Nothing is sent: it only asks which way would be taken to an address of nobody's
	// (RFC 5737).
	if way, err := net.Dial("udp4", "192.0.2.1:9"); err == nil {
		if at, err := netip.ParseAddrPort(way.LocalAddr().String()); err == nil && at.Addr().IsPrivate() {
			all = append(all, at.Addr())
		}
		way.Close()
	}
	addresses, err := net.InterfaceAddrs()
	if err != nil {
		return all
	}
	var six []netip.Addr
	for _, address := range addresses {
		prefix, err := netip.ParsePrefix(address.String())
		switch ip := prefix.Addr(); {
		case err != nil || !ip.IsPrivate() || slices.Contains(all, ip):
		case ip.Is4():
			all = append(all, ip)
		default:
			six = append(six, ip)
		}
	}
	if len(all) == 0 {
		return six
	}
	return all
}

// names are what this machine is called at home.
func names() []string {
	all := []string{"localhost"}
	if host, err := os.Hostname(); err == nil {
		bare := strings.TrimSuffix(strings.ToLower(host), ".local")
		all = append(all, bare+".local", bare)
	}
	return all
}

// folder opens the folder of the planner, if there is one; nothing outside it is reached.
func (g *serving) folder() (fs.FS, error) {
	if g.planner == "" {
		return nil, nil
	}
	root, err := os.OpenRoot(g.planner)
	if err == nil {
		_, err = root.Stat("sw.js")
	}
	if err != nil {
		return nil, fault.Of("planner", fmt.Errorf("--planner: no planner is there: %w", err), "go run ./cmd/brothrun-site FOLDER")
	}
	return root.FS(), nil
}

func (g *serving) serve(stdout io.Writer, paths []string) error {
	now := func() time.Time { // the wall clock: the other stands still while a laptop sleeps
		at, err := stamp()
		if err != nil || os.Getenv("SOURCE_DATE_EPOCH") == "" {
			return time.Now().Round(0)
		}
		return at
	}
	addresses := home()
	if len(addresses) == 0 {
		return errors.New("this machine is on no home network: join it to the wifi of the phones")
	}
	var certificate tls.Certificate
	if g.cert != "" {
		var err error
		if certificate, err = tls.LoadX509KeyPair(g.cert, g.key); err != nil {
			return fault.Of("cert", fmt.Errorf("--cert: %w", err), "give a certificate and its key, both in PEM")
		}
	}
	planner, err := g.folder()
	if err != nil {
		return err
	}
	var printing sync.Mutex
	say := func(format string, args ...any) {
		printing.Lock()
		defer printing.Unlock()
		fmt.Fprintf(stdout, format+"\n", args...)
	}
	for _, path := range paths {
		if target, err := targetOf(path, true); err == nil {
			sweep(filepath.Dir(target), now())
		}
	}
	link, err := g.linksOf()
	if err != nil {
		return err
	}
	bell := ""
	if terminal(stdout) {
		bell = "\a"
	}
	server, err := serve.New(serve.Config{
		Runs: paths, Machine: machine(), Now: now, Stamp: fileStamp, Cook: link.Cook, View: link.View, Names: names(),
		Secure: g.cert != "", NewID: word, Planner: planner,
		Note: func(path string, noting order.Noting) (order.Noted, error) { return noteAndTell(path, noting, say) },
		Former: func(path string) *export.Former {
			former, err := formerAt(path, nil)
			if err != nil {
				return nil
			}
			return former
		},
		Ring: func(at time.Time, text string) { say("%s%s  %s", bell, at.Format("15:04"), export.Printable(text)) },
	})
	if err != nil {
		return err
	}
	network := "tcp4"
	if addresses[0].Is6() {
		network = "tcp6"
	}
	listener, err := net.Listen(network, fmt.Sprintf(":%d", link.Port))
	if errors.Is(err, syscall.EADDRINUSE) {
		return fmt.Errorf("port %d is taken: another program, or another brothrun serve, has it; end that, or take --port %d",
			link.Port, link.Port+1)
	}
	if err != nil {
		return err
	}
	if err := g.greet(stdout, link, addresses); err != nil {
		listener.Close()
		return err
	}
	return g.run(server, serve.Limit(listener), certificate)
}

// noteAndTell makes a note, whatever is wrong with its calendar, and says so at the laptop.
func noteAndTell(path string, noting order.Noting, say func(string, ...any)) (order.Noted, error) {
	noted, _, stays, err := addNote(path, noting, nil, true)
	if err == nil && !noted.Known {
		form := words.Form{Units: noted.After.Plan.Batch.Units}
		say("%s  %s", noted.Entry.At.Format("15:04"), export.Printable(words.What(noted.Entry, form)))
	}
	if stays != nil {
		say("%s", export.Printable(words.Say("stays", stays.Error())))
	}
	return noted, err
}

// greet says where the page is and how it is stopped.
func (g *serving) greet(stdout io.Writer, link links, addresses []netip.Addr) error {
	scheme := "http"
	if g.cert != "" {
		scheme = "https"
	}
	under := func(host, word string) string {
		return fmt.Sprintf("%s://%s/%s/", scheme, net.JoinHostPort(host, strconv.Itoa(link.Port)), word)
	}
	at := func(host string) string { return under(host, link.Cook) }
	out := &failing{File: os.Stdout}
	if of, ok := stdout.(*failing); ok {
		out = of
	}
	if terminal(stdout) && os.Getenv("TERM") != "dumb" {
		if err := export.QR(out, at(addresses[0].String())); err != nil {
			return err
		}
	}
	fmt.Fprintln(out, words.Say("open", at(addresses[0].String())))
	for _, other := range addresses[1:] {
		fmt.Fprintln(out, words.Say("or", at(other.String())))
	}
	if all := names(); len(all) > 1 {
		fmt.Fprintln(out, words.Say("or", at(all[1])))
	}
	if g.planner != "" {
		fmt.Fprintln(out, words.Say("planner", under(addresses[0].String(), "planner")))
	}
	if g.cert == "" {
		fmt.Fprintln(out, words.Say("reads"))
	}
	fmt.Fprintln(out, words.Say("ends"))
	return out.err
}

// run answers until it is told to end.
func (g *serving) run(server *serve.Server, listener net.Listener, certificate tls.Certificate) error {
	told, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM, syscall.SIGHUP)
	defer stop()
	go server.Watch(told)
	answering := serve.HTTP(server)
	ended := make(chan error, 1)
	go func() {
		if g.cert != "" {
			answering.TLSConfig = &tls.Config{Certificates: []tls.Certificate{certificate}, MinVersion: tls.VersionTLS12}
			ended <- answering.ServeTLS(listener, "", "")
			return
		}
		ended <- answering.Serve(listener)
	}()
	select {
	case err := <-ended:
		return err
	case <-told.Done():
	}
	server.Close()
	patience, cancel := context.WithTimeout(context.Background(), 2*time.Second)
	defer cancel()
	if err := answering.Shutdown(patience); err != nil {
		answering.Close()
	}
	if err := <-ended; !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return nil
}

// fileStamp tells whether a file is another than it was.
func fileStamp(path string) (mark string, changed time.Time) {
	info, err := os.Stat(path)
	if err != nil {
		return "none", time.Time{}
	}
	return fmt.Sprintf("%d %d %v", info.Size(), info.ModTime().UnixNano(), info.Mode()), info.ModTime()
}
