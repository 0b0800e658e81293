package serve

import (
	"net"
	"net/http"
	"net/netip"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"
)

// mostBody is how long what a press sends may be.
const mostBody = 4 << 10

// policy lets a page load what is ours and nothing else. The icon is none.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; img-src data:; " +
	"form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// guarded lets through who is on the home network and asks for this machine by a name or
// address of its own, so that no page of elsewhere gets here by a name that it made to
// lead to this one.
func (s *Server) guarded(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		// With no-referrer browsers send the Origin of a form without script as null, which
		// is not told from another site's.
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("X-Clock", strconv.FormatInt(s.Now().UnixMilli(), 10))
		switch {
		case !local(peerOf(r)):
			http.Error(w, "403", http.StatusForbidden)
		case !s.allow.one(peerOf(r)):
			http.Error(w, "429", http.StatusTooManyRequests)
		case !s.ours(r):
			http.Error(w, "421", http.StatusMisdirectedRequest)
		default:
			next.ServeHTTP(w, r)
		}
	})
}

// peerOf is the address a request comes from.
func peerOf(r *http.Request) string {
	host, _, err := net.SplitHostPort(r.RemoteAddr)
	if err != nil {
		return r.RemoteAddr
	}
	return host
}

// local reports whether an address is one of a home network or of this machine
// [RFC 1918, RFC 4193, RFC 3927, RFC 4291].
func local(address string) bool {
	ip, err := netip.ParseAddr(address)
	ip = ip.Unmap()
	return err == nil && (ip.IsPrivate() || ip.IsLoopback() || ip.IsLinkLocalUnicast())
}

// ours reports whether a request is for this machine: by the address it came to, or by a
// name of its own.
func (s *Server) ours(r *http.Request) bool {
	at, _ := r.Context().Value(http.LocalAddrContextKey).(net.Addr)
	if at == nil {
		return false
	}
	own, err := netip.ParseAddrPort(at.String())
	if err != nil {
		return false
	}
	host, port, err := net.SplitHostPort(r.Host)
	if err != nil { // the port that goes without saying
		host, port = r.Host, "80"
		if s.Secure {
			port = "443"
		}
	}
	if port != strconv.Itoa(int(own.Port())) {
		return false
	}
	if ip, err := netip.ParseAddr(strings.Trim(host, "[]")); err == nil {
		return ip.Unmap() == own.Addr().Unmap()
	}
	return slices.ContainsFunc(s.Names, func(name string) bool { return strings.EqualFold(name, host) })
}

// allowance is how many requests of each peer are answered: a page asks for a few at
// once, and a press or two a second; own choice.
type allowance struct {
	now   func() time.Time
	mutex sync.Mutex
	peers map[string]spent
}

const (
	atOnce    = 200
	aSecond   = 50
	mostPeers = 1000
)

type spent struct {
	requests float64
	at       time.Time
}

func newAllowance(now func() time.Time) *allowance {
	return &allowance{now: now, peers: map[string]spent{}}
}

// one takes a request of a peer; false where it has had enough.
func (a *allowance) one(peer string) bool {
	a.mutex.Lock()
	defer a.mutex.Unlock()
	now := a.now()
	if len(a.peers) >= mostPeers {
		for other, s := range a.peers {
			if now.Sub(s.at) > atOnce/aSecond*time.Second {
				delete(a.peers, other)
			}
		}
	}
	s, known := a.peers[peer]
	if !known && len(a.peers) >= mostPeers {
		return false
	}
	s.requests = max(0, s.requests-max(0, now.Sub(s.at).Seconds())*aSecond)
	s.at = now
	if s.requests++; s.requests > atOnce {
		s.requests = atOnce
		a.peers[peer] = s
		return false
	}
	a.peers[peer] = s
	return true
}

// Listener takes connections as another does, but at most so many of one peer and in all:
// who opens more has the new ones closed.
type Listener struct {
	net.Listener
	mutex sync.Mutex
	open  map[string]int
	all   int
}

// Limit is a Listener of another.
func Limit(of net.Listener) *Listener { return &Listener{Listener: of, open: map[string]int{}} }

// mostOfOne and mostInAll are the connections that are open at once; own choice.
const (
	mostOfOne = 64
	mostInAll = 512
)

// Accept waits for the next connection.
func (l *Listener) Accept() (net.Conn, error) {
	for {
		conn, err := l.Listener.Accept()
		if err != nil {
			return nil, err
		}
		peer := conn.RemoteAddr().String()
		if host, _, err := net.SplitHostPort(peer); err == nil {
			peer = host
		}
		l.mutex.Lock()
		full := l.open[peer] >= mostOfOne || l.all >= mostInAll
		if !full {
			l.open[peer]++
			l.all++
		}
		l.mutex.Unlock()
		if !full {
			return &counted{Conn: conn, done: func() { l.closed(peer) }}, nil
		}
		conn.Close()
	}
}

func (l *Listener) closed(peer string) {
	l.mutex.Lock()
	defer l.mutex.Unlock()
	l.all--
	if l.open[peer]--; l.open[peer] == 0 {
		delete(l.open, peer)
	}
}

// counted is a connection that is counted until it is closed.
type counted struct {
	net.Conn
	once sync.Once
	done func()
}

// Close closes it.
func (c *counted) Close() error {
	c.once.Do(c.done)
	return c.Conn.Close()
}

// HTTP is the server of a handler with a deadline on all that a peer can let it wait for.
func HTTP(handler http.Handler) *http.Server {
	return &http.Server{Handler: handler, ReadHeaderTimeout: 5 * time.Second, ReadTimeout: deadline,
		WriteTimeout: deadline, IdleTimeout: time.Minute, MaxHeaderBytes: 8 << 10}
}
