//go:build unix

package main

import (
	"bytes"
	"fmt"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"brothrun/cmd/browser"
	"brothrun/export"
)

// Nobody is shut out, in light and in dark, whatever is on (axe-core: WCAG 2 A and AA, and
// its best practices).
func TestAxeFindsNothing(t *testing.T) {
	script := browser.Axe(t)
	for _, dark := range []bool{false, true} {
		b := browser.Chromium(t, browser.Wish{Dark: dark})
		l := newLaptop(t, "2026-11-29 10:20:00")
		l.pressed()
		l.serve()
		b.Open(l.link)
		b.Sees(".line", "At pressure since 10:09")
		assert.Equal(t, fmt.Sprint(dark), b.Run("return String(matchMedia('(prefers-color-scheme: dark)').matches)"))
		look := func(what string) {
			t.Helper()
			b.Run("for (const d of document.querySelectorAll('details')) d.open = true")
			assert.Empty(t, b.Found(script), "%s, dark %t", what, dark)
			b.Fits()
			b.Run("document.documentElement.style.fontSize = '200%'")
			b.Fits()
			b.Run("document.documentElement.style.fontSize = ''")
		}
		look("at pressure")
		l.dies()
		b.Press("button[data-after=fell]")
		b.Sees("#kept", "not yet at the laptop")
		look("fallen, out of reach")
		l.answers()
		hurry(b, l)
		b.Sees("#link", "At the laptop")
		l.press(url.Values{"what": {"zero"}, "load": {"1"}})
		b.Sees("#warnings", "NOT PROCESSED")
		look("a load that was not processed")
		b.Open(l.link + "1/plain")
		look("without a script")
		b.Open(l.view + "1/plain")
		look("without buttons")
	}
}

// The pages are as the standard has them (the Nu HTML checker, BROTHRUN_VNU names vnu.jar).
func TestNuFindsNothing(t *testing.T) {
	java, jar := browser.Nu(t)
	folder := t.TempDir()
	for name, now := range map[string]string{"simmering": "2026-11-28 09:50:00", "pressed": "2026-11-29 10:20:00", "seals": "2026-11-30 06:35:00"} {
		l := newLaptop(t, now)
		if name != "simmering" {
			l.pressed()
		}
		l.serve()
		for file, path := range map[string]string{"shell": "", "plain": "1/plain", "now": "1/now"} {
			answer, err := http.Get(l.link + path)
			require.NoError(t, err)
			var body bytes.Buffer
			_, err = body.ReadFrom(answer.Body)
			require.NoError(t, err)
			answer.Body.Close()
			text := body.String()
			if file == "now" {
				text = "<!doctype html><html lang=en><title>now</title><main><h1>now</h1>" + text + "</main></html>"
			}
			writeRun(t, folder, name+"-"+file+".html", text)
		}
	}
	style, err := os.ReadFile(filepath.Join(root, "export", "page", "page.css"))
	require.NoError(t, err)
	writeRun(t, folder, "page.css", string(style))
	out, err := exec.Command(java, "-jar", jar, "--also-check-css", "--stdout", folder).CombinedOutput()
	assert.NoError(t, err)
	assert.Empty(t, string(out))
}

// A phone reads the code off a terminal (zbar off a picture of xterm), dark and light.
func TestTheCodeIsReadOffATerminal(t *testing.T) {
	screen, terminal, shot, reader := browser.OneOf("Xvfb"), browser.OneOf("xterm"), browser.OneOf("import"), browser.OneOf("zbarimg")
	if screen == "" || terminal == "" || shot == "" || reader == "" {
		browser.Missing(t, "Xvfb, xterm, imagemagick, zbarimg")
	}
	const link = "http://192.168.178.123:8735/bzd6p6qcu4qtz6v5yuoz/"
	folder := t.TempDir()
	var code bytes.Buffer
	require.NoError(t, export.QR(&code, link))
	lines := strings.Split(strings.TrimSpace(code.String()), "\n")
	assert.Len(t, lines, 19, "of 37 cells")
	path := writeRun(t, folder, "code", code.String())
	display := fmt.Sprintf(":%d", 10000+os.Getpid()%10000)
	browser.Started(t, exec.Command(screen, display, "-screen", "0", "900x700x24", "-nolisten", "tcp"))
	browser.Eventually(t, "a screen", func() bool {
		_, err := os.Stat("/tmp/.X11-unix/X" + display[1:])
		return err == nil
	})
	for theme, colours := range map[string][]string{"dark": {"-bg", "black", "-fg", "white"}, "light": {"-bg", "#fdf6e3", "-fg", "#586e75"}} {
		shown := exec.Command(terminal, append(colours, "-fa", "DejaVu Sans Mono", "-fs", "10", "-geometry", "80x30+0+0", "-e", "sh", "-c", "cat '"+path+"'; sleep 60")...)
		shown.Env = append(os.Environ(), "DISPLAY="+display, "LC_ALL=C.UTF-8")
		require.NoError(t, shown.Start())
		read := ""
		browser.Eventually(t, "the code, "+theme, func() bool {
			picture := filepath.Join(folder, theme+".png")
			take := exec.Command(shot, "-window", "root", picture)
			take.Env = shown.Env
			if take.Run() != nil {
				return false
			}
			out, _ := exec.Command(reader, "--quiet", "--raw", picture).Output()
			read = strings.TrimSpace(string(out))
			return read != ""
		})
		assert.Equal(t, link, read, theme)
		require.NoError(t, shown.Process.Kill())
		shown.Wait()
		time.Sleep(100 * time.Millisecond)
	}
}
