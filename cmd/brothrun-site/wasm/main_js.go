// Command wasm is the planner in a browser.
package main

import "syscall/js"

func main() {
	js.Global().Set("brothrunAnswer", js.FuncOf(func(_ js.Value, args []js.Value) any {
		return `{"status":0,"html":"<p>stub</p>"}`
	}))
	select {}
}
