package main

import (
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"regexp"
	"slices"
	"strconv"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// from is a client with an address of its own of those of this machine.
func from(address string) *http.Client {
	dialer := net.Dialer{LocalAddr: &net.TCPAddr{IP: net.ParseIP(address)}, Timeout: 5 * time.Second}
	return &http.Client{Timeout: 10 * time.Second, Transport: &http.Transport{MaxIdleConnsPerHost: 50, DialContext: dialer.DialContext}}
}

// BenchmarkGuest times the cook's page while one guest asks 500 times a second, by a wrong
// link, by the reader's and by opening connections without end. The goal is an answer to the
// cook within 100 ms, and at most 100 MB.
func BenchmarkGuest(b *testing.B) {
	const lasts, aSecond = 2 * time.Second, 500
	h := newHousehold(b)
	server := h.serve()
	b.Cleanup(func() {
		server.Process.Kill()
		server.Wait()
	})
	for _, row := range []struct{ name, path string }{
		{"nobody", ""}, {"a wrong link", "wrongwrongwrongwrong/1/now"}, {"the page", h.links().View + "/1/now"},
		{"the calendar", h.links().View + "/1/run.ics"}, {"connections", ""},
	} {
		b.Run(row.name, func(b *testing.B) {
			var took []time.Duration
			for b.Loop() {
				ctx, cancel := context.WithTimeout(b.Context(), lasts)
				var guests sync.WaitGroup
				guest, asked := from("127.0.0.2"), time.NewTicker(time.Second/aSecond)
				guests.Go(func() {
					for range asked.C {
						if ctx.Err() != nil {
							return
						}
						guests.Go(func() {
							if row.name == "connections" {
								dialer := net.Dialer{LocalAddr: &net.TCPAddr{IP: net.IPv4(127, 0, 0, 2)}}
								if conn, err := dialer.DialContext(ctx, "tcp", fmt.Sprintf("127.0.0.1:%d", h.port)); err == nil {
									<-ctx.Done()
									conn.Close()
								}
								return
							}
							if row.path == "" {
								return
							}
							if answer, err := guest.Get(h.base() + row.path); err == nil {
								io.Copy(io.Discard, answer.Body)
								answer.Body.Close()
							}
						})
					}
				})
				cook := from("127.0.0.1")
				for ctx.Err() == nil {
					began := time.Now()
					answer, err := cook.Get(h.base() + h.links().Cook + "/1/now")
					require.NoError(b, err)
					_, err = io.Copy(io.Discard, answer.Body)
					require.NoError(b, err)
					answer.Body.Close()
					require.Equal(b, http.StatusOK, answer.StatusCode)
					took = append(took, time.Since(began))
					time.Sleep(30 * time.Millisecond)
				}
				cancel()
				guests.Wait()
				asked.Stop()
			}
			slices.Sort(took)
			status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", server.Process.Pid))
			require.NoError(b, err)
			most, err := strconv.ParseFloat(string(regexp.MustCompile(`VmHWM:\s+(\d+) kB`).FindSubmatch(status)[1]), 64)
			require.NoError(b, err)
			b.ReportMetric(0, "ns/op")
			b.ReportMetric(took[len(took)/2].Seconds()*1000, "ms/median")
			b.ReportMetric(took[len(took)-1].Seconds()*1000, "ms/worst")
			b.ReportMetric(most/1024, "MB")
		})
	}
}
