//go:build unix

package main

import (
	"net/http"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brothrun/cmd/browser"
)

// BenchmarkChromium is what a cook waits for in milliseconds, at this machine's speed and
// at a quarter of it: the plan on a first visit and on the next, and what a move of the
// slider takes out of a frame.
func BenchmarkChromium(b *testing.B) {
	for name, slower := range map[string]int{"full": 1, "quarter": 4} {
		b.Run(name, func(b *testing.B) {
			total := map[string]float64{}
			for b.Loop() {
				h, page := newHost(b), browser.Chromium(b, browser.Wish{})
				order := func(command string, arguments map[string]any) {
					page.Must(http.MethodPost, "/goog/cdp/execute", "", map[string]any{"cmd": command, "params": arguments})
				}
				add := func(what, script string, args ...any) {
					for i, text := range strings.Split(page.Later(script, args...), " ") {
						spent, err := strconv.ParseFloat(text, 64)
						require.NoError(b, err, text)
						total[strings.Split(what, " ")[i]] += spent
					}
				}
				order("Page.addScriptToEvaluateOnNewDocument", map[string]any{"source": `new MutationObserver(() => {
					if (document.getElementById('link')?.textContent === 'Ready.') globalThis.waited ??= performance.now()
				}).observe(document, { subtree: true, childList: true, characterData: true })`})
				order("Emulation.setCPUThrottlingRate", map[string]any{"rate": slower})
				h.withDemo(page)
				add("first-ms", `phone.files().then(files => {
					const began = performance.now()
					phone.answer({ ask: 'plan', runs: ['run.toml'] }, files)
					done(String(waited + performance.now() - began))
				})`)
				page.Open(h.link())
				page.Sees("#plan", "Load 2 of 2")
				add("again-ms", `done(String(waited))`)
				add("move-p50-ms move-p95-ms", `;(async () => {
					const slider = document.querySelector('#run [type=range]'), all = []
					for (let i = 0; i < 200; i++) {
						let began
						requestAnimationFrame(() => { began = performance.now() })
						slider.value = 4 + i % 24 / 4
						slider.dispatchEvent(new Event('input', { bubbles: true }))
						await new Promise(next => requestAnimationFrame(() => next(all.push(performance.now() - began))))
					}
					all.sort((a, b) => a - b)
					done(all[100] + ' ' + all[190])
				})()`)
			}
			for what, spent := range total {
				b.ReportMetric(spent/float64(b.N), what)
			}
		})
	}
}
