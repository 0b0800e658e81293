// Command wasm is the planner in a browser: a function brothrunAnswer, from a question in
// JSON to an answer.
package main

import (
	"runtime/debug"
	"syscall/js"
	_ "time/tzdata" // a browser hands out no zone database

	"brothrun/cmd/brothrun/answer"
)

func main() {
	js.Global().Set("brothrunAnswer", js.FuncOf(func(_ js.Value, given []js.Value) (said any) {
		defer func() { // a fault of ours in one answer must not silence all later ones
			if wrong := recover(); wrong != nil {
				println(string(debug.Stack())) // to the console
				said = `{"status":1,"problems":[{"text":"the planner has a fault, and gives no answer to this"}]}`
			}
		}()
		return answer.JSON(given[0].String())
	}))
	select {}
}
