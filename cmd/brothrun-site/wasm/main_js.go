// Command wasm is the planner in a browser: a function brothrunAnswer, from a question in
// JSON to an answer.
package main

import (
	"syscall/js"
	_ "time/tzdata" // a browser hands out no zone database

	"brothrun/cmd/brothrun/answer"
)

func main() {
	js.Global().Set("brothrunAnswer", js.FuncOf(func(_ js.Value, given []js.Value) any {
		return answer.JSON(given[0].String())
	}))
	select {}
}
